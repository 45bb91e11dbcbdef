using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>What intake must know of a mission: how packets are framed, decoded and timed, and what fringe rows may say.</summary>
/// <param name="Plan">The compiled definition.</param>
/// <param name="SpanStart">First possible packet time.</param>
/// <param name="SpanEnd">End (exclusive) of the possible packet times.</param>
/// <param name="Instrument">The instrument that fringe rows are checked against; null = housekeeping only.</param>
public sealed record IntakeRules(DecodingPlan Plan, Instant SpanStart, Instant SpanEnd, InstrumentModel? Instrument)
{
    /// <summary>The rules of a mission.</summary>
    public static IntakeRules Of(MissionProfile profile, DecodingPlan plan) => new(plan, profile.SpanStart, profile.SpanEnd, profile.Instrument)
    {
        RefusalOf = (kind, format, name, content) => AuxiliaryReader.RefusalOf(kind, format, name, content, profile),
    };

    /// <summary>All mistakes of an orbit, attitude or activity file (kind, format, name, content) as one text; null when it can be used.</summary>
    public Func<string, string, string, byte[], string?> RefusalOf { get; init; } = (_, _, _, _) => null;
}

/// <summary>Sorts what the framer found: packets for the archive, parts of segmented packets, and pieces for quarantine. Not for two threads at once.</summary>
internal sealed class PacketSorter
{
    private readonly IntakeRules rules;
    private readonly PacketValues values;
    private readonly PacketTimeDecoder times;
    private readonly FringeRowReader? fringes;

    public PacketSorter(IntakeRules rules)
    {
        this.rules = rules;
        values = rules.Plan.CreateValues();
        times = new PacketTimeDecoder(rules.Plan, rules.SpanStart, rules.SpanEnd);
        fringes = rules.Plan.HasFringe ? new FringeRowReader(rules.Plan, rules.Instrument) : null;
    }

    public List<ArchivedPacket> Packets { get; } = [];

    public List<PacketPart> Parts { get; } = [];

    public List<QuarantineEntry> Quarantine { get; } = [];

    /// <summary>Sorts a window; forgets the one before.</summary>
    public void Sort(PacketWindow window, string source)
    {
        Packets.Clear();
        Parts.Clear();
        Quarantine.Clear();
        var good = new List<(int Offset, Instant Time)>();
        var pieces = new List<(int Offset, QuarantineEntry Entry)>();
        foreach (var item in window.Quarantine)
            pieces.Add((item.Offset, new QuarantineEntry(NameOf(item.Kind), item.Reason, source, window.Offset + item.Offset, item.Length, window.Bytes.Slice(item.Offset, item.Length))));
        foreach (var (offset, length, header) in window.Packets)
        {
            var bytes = window.Bytes.Slice(offset, length);
            if (header.Flags != SequenceFlags.Unsegmented)
                Parts.Add(new PacketPart(header.Apid, header.SequenceCount, (int)header.Flags, bytes, window.Offset + offset));
            else if (TryIdentify(bytes, header, out var packet, out var refusal))
            {
                Packets.Add(packet);
                good.Add((offset, packet.Time));
            }
            else pieces.Add((offset, new QuarantineEntry(NameOf(refusal!.Kind), refusal.Reason, source, window.Offset + offset, length, bytes)));
        }
        foreach (var (offset, entry) in pieces.OrderBy(p => p.Offset)) Quarantine.Add(entry with { Near = Beside(good, offset) });
    }

    // The good packet before a piece, else the one after it.
    private static Instant? Beside(List<(int Offset, Instant Time)> good, int offset)
    {
        var after = good.FindIndex(g => g.Offset > offset);
        return after > 0 ? good[after - 1].Time : good.Count == 0 ? null : after == 0 ? good[0].Time : good[^1].Time;
    }

    /// <summary>Joins waiting and new parts; gives the whole packets (those that cannot be decoded go to <see cref="Quarantine"/>) and the parts that they use up.</summary>
    public (List<ArchivedPacket> Joined, List<UInt128> Used) Join(IReadOnlyList<PacketPart> parts, string source)
    {
        var joined = new List<ArchivedPacket>();
        var used = new List<UInt128>();
        var (packets, _) = SegmentAssembler.Join([.. parts.Select(p => new SegmentPacket(p.Bytes, null))], rules.Plan.Crc16, rules.Plan.SecondaryHeaderBytes);
        foreach (var packet in packets)
        {
            used.AddRange(packet.Segments.Select(s => parts[s].Hash));
            PrimaryHeader.TryRead(packet.Bytes.Span, out var header);
            if (TryIdentify(packet.Bytes, header, out var whole, out var refusal)) joined.Add(whole);
            else
                Quarantine.Add(new QuarantineEntry(NameOf(refusal!.Kind), $"Joined from {packet.Segments.Count} segments: {refusal.Reason}", source,
                    parts[packet.Segments[0]].Offset, packet.Bytes.Length, packet.Bytes));
        }
        return (joined, used);
    }

    /// <summary>The contract's spelling of a kind: badChecksum, truncatedTail….</summary>
    public static string NameOf(QuarantineKind kind)
    {
        var name = kind.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }

    private bool TryIdentify(ReadOnlyMemory<byte> bytes, in PrimaryHeader header, out ArchivedPacket packet, out Refusal? refusal)
    {
        packet = default;
        if (!rules.Plan.TryDecode(bytes.Span, values))
        {
            refusal = values.Refusal;
            return false;
        }
        if (!times.TryRead(values, out var time, out refusal)) return false;
        if (values.Container is { IsFringe: true } && fringes is not null && !fringes.TryRead(values, out _, out refusal)) return false;
        packet = ArchivedPacket.Of(time, header.Apid, header.SequenceCount, bytes);
        return true;
    }
}
