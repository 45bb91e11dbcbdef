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
    // Chosen: half a lap of the counter takes longer than this at the rates for which counts can be put in order.
    private const double LeastLapS = 3600;
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

    /// <summary>Gaps between the hours of each application process, where what lacks lies over the end of an hour or holds whole hours. By hour and APID.</summary>
    /// <param name="coverage">Hours with packets, in any order.</param>
    public static IReadOnlyList<StreamEventRow> GapsBetween(IEnumerable<CoverageRow> coverage) =>
        [.. coverage.GroupBy(c => c.Apid).Select(g => g.OrderBy(c => c.Hour).ToArray()).SelectMany(hours => hours.Zip(hours.Skip(1), Between)).OfType<StreamEventRow>().OrderBy(e => e.Hour).ThenBy(e => e.Apid)];

    private static StreamEventRow? Between(CoverageRow before, CoverageRow after)
    {
        var missing = Forward(before.LastSequence, after.FirstSequence) - 1;
        // Counts that run back within a moment are packets out of order, not half a lap of the counter that lacks.
        if (missing <= 0 || (missing > Modulus / 2 && after.FirstTime - before.LastTime < LeastLapS)) return null;
        return new()
        {
            Hour = after.Hour,
            Kind = StreamStore.Gap,
            Apid = after.Apid,
            From = before.LastTime,
            To = after.FirstTime,
            Amount = missing,
            Detail = $"At least {missing} packets of APID {after.Apid} are missing between sequence counts {before.LastSequence} and {after.FirstSequence} (counts begin again after {Modulus}).",
        };
    }

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
