using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Decoding;

/// <summary>
/// The time of a decoded packet, from the raw values of its time fields (calibrators do not touch them). A time is impossible when
/// its fields are invalid or it lies outside the mission's span.
/// </summary>
/// <param name="plan">The plan that decoded the packets.</param>
/// <param name="spanStart">First possible moment.</param>
/// <param name="spanEnd">End of the possible moments (exclusive).</param>
public sealed class PacketTimeDecoder(DecodingPlan plan, Instant spanStart, Instant spanEnd)
{
    private readonly TimeSlots _slots = plan.TimeSlots;
    private readonly long _epochDay = TimeCode.EpochDay(plan.TimeSlots.Settings.Epoch);

    /// <summary>The packet's time; false with the refusal when it is impossible.</summary>
    public bool TryRead(PacketValues values, out Instant time, out Refusal? refusal)
    {
        time = default;
        refusal = null;
        foreach (var slot in (ReadOnlySpan<int>)[_slots.Day, _slots.Millisecond, _slots.Microsecond, _slots.Coarse, _slots.Fine])
            if (slot >= 0 && !values.IsPresent(slot))
            {
                refusal = new(QuarantineKind.ImpossibleTime, $"Container {values.Container?.Name} has no {plan.Parameters[slot].Name}, which the profile's time code needs.");
                return false;
            }
        string? reason;
        var valid = _slots.Settings.IsCds
            ? TimeCode.TryCds(_epochDay, _slots.Settings.Scale, values.Raw(_slots.Day), values.Raw(_slots.Millisecond), Raw(values, _slots.Microsecond), out time, out reason)
            : TryCuc(values, out time, out reason);
        if (valid && (time < spanStart || time >= spanEnd))
        {
            reason = $"The packet's time is {time}, outside the mission's span from {spanStart} to {spanEnd}.";
            valid = false;
        }
        if (!valid) refusal = new(QuarantineKind.ImpossibleTime, reason!);
        return valid;
    }

    private bool TryCuc(PacketValues values, out Instant time, out string? reason)
    {
        var (coarse, fine) = (Raw(values, _slots.Coarse), Raw(values, _slots.Fine));
        if (coarse < 0 || fine < 0)
        {
            (time, reason) = (default, $"The time's counts are {coarse} and {fine}; expected none below zero.");
            return false;
        }
        return TimeCode.TryCuc(_slots.Settings.Epoch, _slots.Settings.Scale, (ulong)coarse, (ulong)fine, _slots.Settings.FineBits, out time, out reason);
    }

    private static long Raw(PacketValues values, int slot) => slot < 0 ? 0 : values.Raw(slot);
}
