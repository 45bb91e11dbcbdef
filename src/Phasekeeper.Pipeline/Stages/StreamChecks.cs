using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// What the sequence counts of one application process say of one hour: gaps, and times that jump against the counts. A pure function
/// of the hour's packets.
/// </summary>
public static class StreamChecks
{
    private const int Modulus = 16384;
    // Above this many packets an hour the counts lap the counter too often to be put in order by themselves.
    private const int MostPackets = Modulus / 2;
    // Chosen: a jump shorter than this cannot be told from a late packet of a busy bus.
    private const double LeastJumpS = 5;
    // A stream is regular when most steps are within this share of their median: only there a forward jump can be told from a pause.
    private const double RegularShare = 0.05;

    /// <summary>Events of the packets of one APID in one hour (any order).</summary>
    public static IReadOnlyList<StreamEventRow> Check(long hour, int apid, IReadOnlyList<ArchivedPacket> packets)
    {
        var events = new List<StreamEventRow>();
        if (packets.Count < 2) return events;
        var ordered = packets.Count <= MostPackets ? InCountOrder(packets) : [.. packets.OrderBy(p => p.Time)];
        var regular = RegularStepS(ordered);
        for (var i = 1; i < ordered.Length; i++)
        {
            var (before, after) = (ordered[i - 1], ordered[i]);
            var steps = Forward(before.Place.SequenceCount, after.Place.SequenceCount);
            if (steps == 0) continue;
            var elapsedS = after.Time - before.Time;
            if (steps > 1) events.Add(Gap(hour, apid, before, after, steps - 1));
            var jumpS = regular is { } step ? elapsedS - steps * step : Math.Min(elapsedS, 0);
            var least = Math.Max(LeastJumpS, regular is { } s ? 0.5 * s : 0);
            if (Math.Abs(jumpS) >= least) events.Add(Jump(hour, apid, before, after, jumpS));
        }
        return events;
    }

    /// <summary>Gap between the last packet of one hour and the first of the next, from their counts; null when they follow each other.</summary>
    public static int MissingBetween(int lastCount, int firstCount) => Math.Max(0, Forward(lastCount, firstCount) - 1);

    private static int Forward(int from, int to) => (to - from + Modulus) % Modulus;

    // The counts lie on a circle; within an hour they cover an arc of it that starts after the widest empty stretch.
    private static ArchivedPacket[] InCountOrder(IReadOnlyList<ArchivedPacket> packets)
    {
        var sorted = packets.OrderBy(p => p.Place.SequenceCount).ThenBy(p => p.Time).ToArray();
        int widest = 0, start = 0;
        for (var i = 0; i < sorted.Length; i++)
        {
            var previous = sorted[(i + sorted.Length - 1) % sorted.Length].Place.SequenceCount;
            var stretch = Forward(previous, sorted[i].Place.SequenceCount);
            if (stretch > widest) (widest, start) = (stretch, i);
        }
        return [.. sorted[start..], .. sorted[..start]];
    }

    private static double? RegularStepS(ArchivedPacket[] ordered)
    {
        var steps = new List<double>();
        for (var i = 1; i < ordered.Length; i++)
            if (Forward(ordered[i - 1].Place.SequenceCount, ordered[i].Place.SequenceCount) == 1) steps.Add(ordered[i].Time - ordered[i - 1].Time);
        if (steps.Count < 8) return null;
        steps.Sort();
        var median = steps[steps.Count / 2];
        var near = steps.Count(s => Math.Abs(s - median) <= RegularShare * median);
        return median > 0 && near >= 0.9 * steps.Count ? median : null;
    }

    private static StreamEventRow Gap(long hour, int apid, ArchivedPacket before, ArchivedPacket after, int missing) => new()
    {
        Hour = hour,
        Kind = StreamStore.Gap,
        Apid = apid,
        From = before.Time < after.Time ? before.Time : after.Time,
        To = before.Time < after.Time ? after.Time : before.Time,
        Amount = missing,
        Detail = $"{missing} packets of APID {apid} are missing between sequence counts {before.Place.SequenceCount} and {after.Place.SequenceCount}.",
    };

    private static StreamEventRow Jump(long hour, int apid, ArchivedPacket before, ArchivedPacket after, double jumpS) => new()
    {
        Hour = hour,
        Kind = StreamStore.ClockJump,
        Apid = apid,
        From = before.Time < after.Time ? before.Time : after.Time,
        To = before.Time < after.Time ? after.Time : before.Time,
        Amount = jumpS,
        Detail = FormattableString.Invariant($"The time of APID {apid} jumps by {jumpS:0.###} s between sequence counts {before.Place.SequenceCount} and {after.Place.SequenceCount}."),
    };
}
