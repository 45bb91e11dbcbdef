using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Xtce;

namespace Phasekeeper.Packets.Decoding;

/// <summary>What follows from the raw values of a packet: calibrated numbers, times, labels, alarm levels, and whether conditions hold.</summary>
internal sealed class ValueRules(Slot[] slots, CompiledComparison[][] conditions)
{
    private const int DeepestContext = 8;

    /// <summary>The slot's raw bits as a real number.</summary>
    public double RawNumber(int slot, long raw)
    {
        var s = slots[slot];
        if (s.IsReal) return BitConverter.Int64BitsToDouble(raw);
        return s.Format == NumberFormat.Unsigned ? unchecked((ulong)raw) : raw;
    }

    /// <summary>Which calibrator holds for this packet; false in known when it depends on something that the packet does not have.</summary>
    public Calibrator? ChooseCalibrator(int slot, PacketValues values, out bool known, int depth = 0)
    {
        var s = slots[slot];
        known = true;
        foreach (var context in s.Contexts)
        {
            foreach (var comparison in conditions[context.Condition])
                if (!values.IsPresent(comparison.Slot) || depth >= DeepestContext) known = false;
            if (!known) return null;
            if (Holds(context.Condition, default, values, depth + 1)) return context.Calibrator;
        }
        return s.Calibrator;
    }

    /// <summary>Makes the calibrated value once a packet; false where there is none for this raw value.</summary>
    public bool Calibrate(int slot, PacketValues values, int depth = 0)
    {
        var state = values.State[slot];
        if ((state & PacketValues.CalibrationTried) != 0) return (state & PacketValues.Calibrated) != 0;
        if (slots[slot].Type.Kind is ParameterKind.String or ParameterKind.Binary) return false;
        var number = RawNumber(slot, values.RawBits[slot]);
        var calibrator = ChooseCalibrator(slot, values, out var known, depth);
        var valid = known && (calibrator is null ? double.IsFinite(number) : calibrator.TryApply(number, out number));
        if (valid && slots[slot].Type.Time is { } time) valid = TryTime(time, number, out number);
        values.Numbers[slot] = number;
        values.State[slot] = (byte)(state | PacketValues.CalibrationTried | (valid ? PacketValues.Calibrated : 0));
        return valid;
    }

    /// <summary>Calibrated value, label and alarm level of a raw value that is present.</summary>
    public void Finish(int slot, PacketValues values)
    {
        var type = slots[slot].Type;
        var valid = Calibrate(slot, values, 0);
        values.LabelIndexes[slot] = type.Labels?.IndexOf(values.RawBits[slot]) ?? -1;
        values.Alarms[slot] = AlarmLevel.Normal;
        if (type.Ranges is { } ranges && valid) values.Alarms[slot] = ranges.LevelOf(values.Numbers[slot]);
        if (type.LabelAlarms is { } alarms)
            values.Alarms[slot] = values.LabelIndexes[slot] is >= 0 and var label ? alarms.LevelOfLabel[label] : alarms.Otherwise;
    }

    /// <summary>True when all comparisons of a condition hold; the packet is needed for texts only.</summary>
    public bool Holds(int condition, ReadOnlySpan<byte> packet, PacketValues values, int depth = 0)
    {
        foreach (ref readonly var comparison in conditions[condition].AsSpan())
            if (!Holds(comparison, packet, values, depth)) return false;
        return true;
    }

    private bool Holds(in CompiledComparison comparison, ReadOnlySpan<byte> packet, PacketValues values, int depth)
    {
        var slot = comparison.Slot;
        if (!values.IsPresent(slot)) return false;
        var raw = values.RawBits[slot];
        switch (comparison.Mode)
        {
            case CompareMode.Integer:
                // A 64-bit unsigned number with its top bit set is above anything that a comparison can name.
                var order = raw < 0 && slots[slot].Format == NumberFormat.Unsigned ? 1 : raw.CompareTo(comparison.Integer);
                return Agrees(comparison.Op, order);
            case CompareMode.Label:
                return slots[slot].Type.Labels!.IndexOf(raw) == comparison.Label == (comparison.Op == CompareOp.Equal);
            case CompareMode.Text:
                // An empty span stands for "packet not at hand" (contexts): texts are compared in criteria and conditions only.
                return !packet.IsEmpty && values.GetText(slot, packet) == comparison.Text == (comparison.Op == CompareOp.Equal);
            default:
                double number;
                if (!comparison.Calibrated) number = RawNumber(slot, raw);
                else if (Calibrate(slot, values, depth)) number = values.Numbers[slot];
                else return false;
                return !double.IsNaN(number) && Agrees(comparison.Op, number.CompareTo(comparison.Number));
        }
    }

    private static bool TryTime(TimeSpec time, double raw, out double unixSeconds)
    {
        var seconds = time.Offset + time.Scale * raw;
        unixSeconds = seconds;
        // 1678 to 2262 is what an Instant can hold; half of that either way is far beyond any mission.
        if (!(Math.Abs(seconds) < 4.5e9)) return false;
        if (time.LeapSecondsCounted) unixSeconds = time.Epoch.AddSeconds(seconds).ToUnixSeconds();
        return true;
    }

    private static bool Agrees(CompareOp op, int order) => op switch
    {
        CompareOp.Equal => order == 0,
        CompareOp.NotEqual => order != 0,
        CompareOp.Less => order < 0,
        CompareOp.LessOrEqual => order <= 0,
        CompareOp.Greater => order > 0,
        _ => order >= 0,
    };
}
