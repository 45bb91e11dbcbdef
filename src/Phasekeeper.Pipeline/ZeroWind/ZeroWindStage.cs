using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.ZeroWind;

/// <summary>
/// Zero wind of one UTC day: the condensed winds of the orbits that start within <see cref="ZeroWindOptions.WindowDays"/> days before it → estimates of all lines, kept whole; what is claimed becomes the tracker's value on the
/// day's first orbit. Once a day is enough: the window moves by a hundredth.
/// </summary>
public sealed class ZeroWindStage(Stores stores, TimeProvider clock)
{
    /// <summary>Number of the first orbit with data that starts on a UTC day; null when there is none.</summary>
    public static int? FirstOrbitOf(long day, MissionState mission, Stores stores)
    {
        ArgumentNullException.ThrowIfNull(mission);
        ArgumentNullException.ThrowIfNull(stores);
        var (start, end) = (Instant.FromUnixDay(day, 0), Instant.FromUnixDay(day + 1, 0));
        foreach (var orbit in mission.Orbits.In(start, end))
            if (orbit.Start >= start && stores.Orbits.Get(orbit.Number) is not null) return orbit.Number;
        return null;
    }

    /// <summary>The days whose estimate looks back on a day's winds, up to that of mission time.</summary>
    public static IEnumerable<long> DaysLookingBackOn(long day, Instant missionTime)
    {
        var last = Math.Min(day + ZeroWindOptions.Default.WindowDays, missionTime.ToUnixDay().UnixDay);
        for (var later = day + 1; later <= last; later++) yield return later;
    }

    /// <summary>Zero wind of a UTC day, one a line of the instrument.</summary>
    /// <param name="day">Days since 1970-01-01: the winds of the weeks before it count.</param>
    /// <param name="set">Set with whose zero-wind phases the winds were made; others are left out.</param>
    /// <param name="instrument">Instrument.</param>
    /// <param name="stores">Stores.</param>
    /// <param name="without">Orbits whose winds are left out, beside those that people hold.</param>
    internal static IReadOnlyList<ZeroWindEstimate> Solve(long day, CoefficientSet set, InstrumentModel instrument, Stores stores, IReadOnlySet<int> without)
    {
        // Held winds are not used. A hold marks the days that look back on its orbit, so the estimate depends on data and holds alone, not on which came first.
        var sums = stores.WindSums.Read(Instant.FromUnixDay(day - ZeroWindOptions.Default.WindowDays, 0), Instant.FromUnixDay(day, 0), WindSums.ZeroPhases(set));
        var held = stores.Holds.Of([.. sums.Select(o => o.Orbit)]);
        OrbitWindSums[] window = [.. sums.Where(o => !without.Contains(o.Orbit) && !held.ContainsKey(o.Orbit))];
        string[] views = [.. instrument.Views.Select(v => v.Id)];
        return [.. instrument.Lines.Select(l => ZeroWindSolver.Solve(window, views, l.Id))];
    }

    /// <summary>Runs one item; key = days since 1970-01-01.</summary>
    public async Task RunAsync(WorkItem item, MissionState mission, Instant missionTime, CancellationToken cancel)
    {
        var day = item.Key;
        var (start, end) = (Instant.FromUnixDay(day, 0), Instant.FromUnixDay(day + 1, 0));
        var first = FirstOrbitOf(day, mission, stores);
        IReadOnlyList<ZeroWindEstimate> estimates = [];
        IReadOnlyList<TrackerValue> values = [];
        if (first is { } number && mission.Orbits.Of(number) is { } orbit && mission.Instrument is { } instrument && mission.Coefficients.At(orbit.Start) is { } coefficients)
        {
            estimates = Solve(day, coefficients.Set, instrument, stores, new HashSet<int>());
            var input = new OrbitInput
            {
                Orbit = number,
                Start = orbit.Start,
                End = orbit.End,
                Complete = missionTime >= orbit.End,
                NeighboursComplete = missionTime >= orbit.End.AddSeconds(OrbitInput.ReachOrbits * (orbit.End - orbit.Start)),
                Instrument = instrument,
                ZeroWind = estimates,
            };
            values = TrackerCatalog.Compute(new OrbitAnalysis(input), TrackerSource.ZeroWind);
        }
        var others = mission.Orbits.In(start, end).Select(o => o.Number).Where(n => n != first && mission.Orbits.Of(n) is { } o && o.Start >= start).ToArray();
        var ids = TrackerCatalog.IdsOf(TrackerSource.ZeroWind);
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            ZeroWindStore.Replace(t, day, estimates);
            if (first is { } orbitNumber && TrackerStore.ReplaceOrbit(t, orbitNumber, values, ids, SoftwareVersion.Current) > 0) WorkQueue.Mark(t, WorkKinds.Assess, orbitNumber, now, WorkKinds.AfterWinds);
            // Late data or a better orbit file may have made another orbit the day's first.
            foreach (var other in others)
                if (TrackerStore.ReplaceOrbit(t, other, [], ids) > 0) WorkQueue.Mark(t, WorkKinds.Assess, other, now, WorkKinds.AfterWinds);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
    }
}
