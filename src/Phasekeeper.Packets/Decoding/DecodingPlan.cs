using System.Text;
using Phasekeeper.Core.Profile;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>
/// A definition compiled once: packets run through flat tables, without XML, names or allocation. A packet of the definition
/// starts with the primary header's fields. Immutable, so many threads can share it, each with its own <see cref="PacketValues"/>.
/// </summary>
public sealed class DecodingPlan
{
    private readonly PacketDecoder _decoder;
    private readonly Slot[] _slots;
    private readonly int _fixedSamples;
    private readonly ContainerInfo?[] _containerOfNode;

    internal DecodingPlan(PlanTables tables, PlanParts parts, bool crc16)
    {
        _decoder = new(tables, crc16);
        _slots = [.. tables.Slots];
        _fixedSamples = tables.FixedSamples;
        _containerOfNode = parts.ContainerOfNode;
        Parameters = parts.Parameters;
        Channels = parts.Channels;
        Containers = parts.Containers;
        FramingRules = parts.FramingRules;
        TimeSlots = parts.TimeSlots;
        FringeSlots = parts.FringeSlots;
        SecondaryHeaderBytes = parts.SecondaryHeaderBytes;
        Crc16 = crc16;
    }

    /// <summary>All parameters with a place, by slot.</summary>
    public IReadOnlyList<ParameterInfo> Parameters { get; }

    /// <summary>The telemetry channels.</summary>
    public IReadOnlyList<ChannelInfo> Channels { get; }

    /// <summary>The containers that packets can match.</summary>
    public IReadOnlyList<ContainerInfo> Containers { get; }

    /// <summary>What the framer may expect.</summary>
    public FramingRules FramingRules { get; }

    /// <summary>Bytes of the secondary header: up to the end of the time code's last field, where that place is fixed; otherwise 0.</summary>
    public int SecondaryHeaderBytes { get; }

    /// <summary>True: packets end with a CRC-16.</summary>
    public bool Crc16 { get; }

    /// <summary>True when the profile names a fringe container.</summary>
    public bool HasFringe => FringeSlots is not null;

    internal TimeSlots TimeSlots { get; }

    internal FringeSlots? FringeSlots { get; }

    /// <summary>Compiles a definition.</summary>
    /// <param name="xtceText">Text of the XTCE file.</param>
    /// <param name="settings">Checksum and time code.</param>
    /// <param name="fringe">Names of the fringe container and its fields; null when there is none.</param>
    /// <param name="plan">The plan; null when there are errors.</param>
    /// <param name="errors">Everything that is wrong, by line.</param>
    public static bool TryCompile(string xtceText, PacketSettings settings, FringeSettings? fringe, out DecodingPlan? plan, out IReadOnlyList<XtceError> errors)
    {
        var context = new XtceReadContext();
        plan = null;
        if (XtceReader.Read(xtceText, context) is { } model)
        {
            var tables = new PlanTables();
            var slots = new SlotTable(model, tables, context);
            var samples = fringe is null ? null : slots.PathOfProfileName(fringe.Samples, container: false, "fringe.samples");
            var compiler = new PlanCompiler(model, slots, tables, samples, context);
            compiler.Compile();
            var parts = context.Errors.Any(e => e.Line > 0) ? null : new PlanFinisher(model, slots, compiler, context).Finish(settings, fringe);
            if (context.Errors.Count == 0 && parts is not null) plan = new(tables, parts, settings.Crc16);
        }
        errors = [.. context.Errors.Distinct().OrderBy(e => e.Line)];
        return plan is not null;
    }

    /// <summary>A buffer for one packet's values, to be used again and again by one thread.</summary>
    public PacketValues CreateValues() => new(this, _slots.Length, _fixedSamples);

    /// <summary>
    /// Decodes one whole packet, header and checksum included. False: refused, with the reason in <see cref="PacketValues.Refusal"/>. The
    /// checksum itself is the framer's business.
    /// </summary>
    public bool TryDecode(ReadOnlySpan<byte> packet, PacketValues values)
    {
        var node = _decoder.Decode(packet, values);
        if (node < 0) return false;
        values.Container = _containerOfNode[node];
        return true;
    }

    /// <summary>The parameter of a name or path; null when there is none.</summary>
    public ParameterInfo? Find(string nameOrPath) => Parameters.FirstOrDefault(p => p.Name == nameOrPath || p.Path == nameOrPath);

    /// <summary>The calibrator of a parameter where no context says otherwise; null for none, and for times.</summary>
    public Calibrator? CalibratorOf(int slot) => _slots[slot].Type.Time is null ? _slots[slot].Calibrator : null;

    internal double RawNumber(int slot, long raw) => _decoder.RawNumber(slot, raw);

    internal IReadOnlyList<string>? LabelsOf(int slot) => _slots[slot].Type.Labels?.Labels;

    internal Encoding TextOf(int slot) => _slots[slot].Type.Bytes?.Text ?? Encoding.Latin1;

    internal bool IsReal(int slot) => _slots[slot].IsReal;

    internal bool IsCalibrated(int slot) => _slots[slot].Calibrator is not null || _slots[slot].Contexts.Length > 0;
}
