using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Decoding;

/// <summary>
/// Reads fringe rows from decoded packets of the fringe container. Labels are resolved once, when the reader is made: a packet with
/// a value that the definition gives no label, a kind other than scene, lamp, dark or flat, or a view, line, row or number of samples that the
/// instrument does not have is refused with the reason.
/// </summary>
public sealed class FringeRowReader
{
    private static readonly string[] KindLabels = ["scene", "lamp", "dark", "flat"];

    private readonly DecodingPlan _plan;
    private readonly FringeSlots _slots;
    private readonly InstrumentModel? _instrument;
    private readonly int[] _kindOfLabel;
    private readonly string?[] _viewOfLabel;
    private readonly string?[] _lineOfLabel;

    /// <summary>Makes a reader.</summary>
    /// <param name="plan">A plan with a fringe container.</param>
    /// <param name="instrument">The instrument that rows are checked against; null = the definition's labels and any row are taken.</param>
    /// <exception cref="ArgumentException">The plan has no fringe container.</exception>
    public FringeRowReader(DecodingPlan plan, InstrumentModel? instrument)
    {
        _plan = plan;
        _instrument = instrument;
        _slots = plan.FringeSlots ?? throw new ArgumentException("The plan was compiled without fringe settings: there are no fringe rows to read.", nameof(plan));
        _kindOfLabel = [.. plan.LabelsOf(_slots.Kind)!.Select(l => Array.FindIndex(KindLabels, k => k.Equals(l, StringComparison.OrdinalIgnoreCase)))];
        _viewOfLabel = [.. plan.LabelsOf(_slots.View)!.Select(l => instrument is null ? l : instrument.Views.FirstOrDefault(v => v.Id == l)?.Id)];
        _lineOfLabel = [.. plan.LabelsOf(_slots.Line)!.Select(l => instrument is null ? l : instrument.Lines.FirstOrDefault(v => v.Id == l)?.Id)];
    }

    /// <summary>The row of a decoded packet whose container is a fringe one; false with the refusal when it cannot be used.</summary>
    public bool TryRead(PacketValues values, out FringeRow row, out Refusal? refusal)
    {
        row = default;
        foreach (var slot in (ReadOnlySpan<int>)[_slots.Exposure, _slots.Kind, _slots.View, _slots.Line, _slots.Row, _slots.Integration])
            if (!values.IsPresent(slot)) return Refuse(QuarantineKind.BadValue, $"Container {values.Container?.Name} has no {_plan.Parameters[slot].Name}.", out refusal);
        var (kind, view, line) = (values.LabelIndex(_slots.Kind), values.LabelIndex(_slots.View), values.LabelIndex(_slots.Line));
        if (kind < 0 || _kindOfLabel[kind] < 0) return Unknown(values, _slots.Kind, string.Join(", ", KindLabels), out refusal);
        if (view < 0 || _viewOfLabel[view] is null) return Unknown(values, _slots.View, Names(_instrument?.Views.Select(v => v.Id)), out refusal);
        if (line < 0 || _lineOfLabel[line] is null) return Unknown(values, _slots.Line, Names(_instrument?.Lines.Select(l => l.Id)), out refusal);
        if (!TryWhole(values, _slots.Exposure, out var exposure)) return NoNumber(values, _slots.Exposure, out refusal);
        if (!TryWhole(values, _slots.Row, out var detectorRow)) return NoNumber(values, _slots.Row, out refusal);
        var rows = _instrument?.Rows ?? int.MaxValue;
        if (detectorRow < 0 || detectorRow >= rows)
            return Refuse(QuarantineKind.UnknownLabel, $"{_plan.Parameters[_slots.Row].Name} is {detectorRow}; the instrument has rows 0 to {rows - 1}.", out refusal);
        var integrationMs = values.Value(_slots.Integration);
        // Not-a-number fails the comparison as well.
        if (!(integrationMs > 0)) return Refuse(QuarantineKind.BadValue, $"{_plan.Parameters[_slots.Integration].Name} is {integrationMs} ms; expected more than 0.", out refusal);
        if (_instrument is not null && values.SampleCount != _instrument.Samples)
            return Refuse(QuarantineKind.BadLength, $"The row has {values.SampleCount} samples; the instrument has {_instrument.Samples}.", out refusal);
        refusal = null;
        row = new(exposure, (ExposureKind)_kindOfLabel[kind], _viewOfLabel[view]!, _lineOfLabel[line]!, (int)detectorRow, integrationMs * 1e-3);
        return true;
    }

    private bool TryWhole(PacketValues values, int slot, out long whole)
    {
        if (!_plan.IsCalibrated(slot) && !_plan.IsReal(slot))
        {
            whole = values.Raw(slot);
            return true;
        }
        var value = values.Value(slot);
        whole = Math.Abs(value) < 1L << 53 ? (long)value : 0;
        return whole == value;
    }

    private bool NoNumber(PacketValues values, int slot, out Refusal? refusal) =>
        Refuse(QuarantineKind.BadValue, $"{_plan.Parameters[slot].Name} is {values.Value(slot)}; expected a whole number.", out refusal);

    private bool Unknown(PacketValues values, int slot, string expected, out Refusal? refusal)
    {
        var label = values.Label(slot);
        var found = label is null ? $"{values.Raw(slot)}, which the definition gives no label" : $"'{label}'";
        return Refuse(QuarantineKind.UnknownLabel, $"{_plan.Parameters[slot].Name} is {found}; expected {expected}.", out refusal);
    }

    private static string Names(IEnumerable<string>? names) => names is null ? "a label of the definition" : string.Join(", ", names);

    private static bool Refuse(QuarantineKind kind, string reason, out Refusal? refusal)
    {
        refusal = new(kind, reason);
        return false;
    }
}
