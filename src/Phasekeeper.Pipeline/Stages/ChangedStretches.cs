using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Which stretches of an hour hold packets that were not there when it was decoded last. A downlink mostly adds at one end of an hour; then only the orbit
/// on that side has new data. Whenever it is not certain, the answer is the whole hour.
/// </summary>
public static class ChangedStretches
{
    /// <summary>Stretches with new packets; <paramref name="before"/>: the hour's coverage as it was decoded last.</summary>
    public static IReadOnlyList<TimeStretch> Of(PacketHour hour, IReadOnlyList<CoverageRow> before)
    {
        TimeStretch whole = new(Hour.Start(hour.Hour), Hour.End(hour.Hour));
        // A packet that took another's place changes no count: then nothing can be told.
        if (hour.Conflicts.Count > 0) return [whole];
        var stretches = new List<TimeStretch>();
        foreach (var packets in hour.Used.GroupBy(p => p.Place.Apid))
        {
            if (before.FirstOrDefault(c => c.Apid == packets.Key) is not { } old)
            {
                stretches.Add(new(packets.First().Time, packets.Last().Time));
                continue;
            }
            var outside = packets.Where(p => p.Time < old.FirstTime || p.Time > old.LastTime).Select(p => p.Time).ToArray();
            if (old.Count + outside.Length != packets.Count()) return [whole];
            var (early, late) = (outside.Where(t => t < old.FirstTime).ToArray(), outside.Where(t => t > old.LastTime).ToArray());
            if (early.Length > 0) stretches.Add(new(early[0], early[^1]));
            if (late.Length > 0) stretches.Add(new(late[0], late[^1]));
        }
        return TimeStretch.Union(stretches);
    }
}
