using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>
/// One orbit: stored winds of the profile's first two views → wind vectors, and the trackers that compare winds. A vector belongs to the orbit of its earlier look; the
/// later one may lie in the next orbit.
/// </summary>
public sealed class WindVectorStage(Stores stores, TimeProvider clock)
{
    // How far around a place the other view's winds are looked at, s: the matcher's reach and its margin of a minute.
    private const double ReachS = WindVectorMatcher.LongestSeconds + 60;

    /// <summary>Runs one item.</summary>
    public async Task RunAsync(WorkItem item, MissionState mission, Instant missionTime, CancellationToken cancel)
    {
        var number = (int)item.Key;
        IReadOnlyList<StoredWindVectors> vectors = [];
        IReadOnlyList<TrackerValue> values = [];
        if (mission.Orbits.Of(number) is { } orbit && mission.Instrument is { } instrument)
        {
            var winds = stores.Winds.Read(orbit.Start.AddSeconds(-ReachS), orbit.End.AddSeconds(2 * ReachS));
            vectors = Vectors(orbit, instrument, winds);
            // Fringes for the middle of the orbit's data, which is the time of all its values.
            values = Trackers(orbit, mission, missionTime, [.. stores.Fringes.Read(orbit.Start, orbit.End).Select(f => f.Result).OrderBy(f => f.Time)], [.. winds.Where(w => w.Orbit == number)], vectors);
        }
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            WindVectorStore.ReplaceOrbit(t, number, vectors);
            if (TrackerStore.ReplaceOrbit(t, number, values, TrackerCatalog.IdsOf(TrackerSource.Winds), SoftwareVersion.Current) > 0)
                WorkQueue.Mark(t, WorkKinds.Assess, number, now, WorkKinds.AfterWinds);
            WorkQueue.Mark(t, WorkKinds.WindUse, number, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
    }

    /// <summary>Vectors of an orbit in order of time and line, from the winds of the first two views.</summary>
    internal static IReadOnlyList<StoredWindVectors> Vectors(OrbitSlot orbit, InstrumentModel instrument, IReadOnlyList<StoredLosWind> winds) =>
        instrument.Views.Count < 2 ? [] : [.. instrument.Lines.AsParallel().AsOrdered().SelectMany(l => Match(orbit, l.Id, instrument.Views[0].Id, instrument.Views[1].Id, winds)).AsSequential()
            .OrderBy(v => v.ExposureTime).ThenBy(v => v.Exposure).ThenBy(v => v.Line, StringComparer.Ordinal)];

    internal static IEnumerable<StoredWindVectors> Match(OrbitSlot orbit, string line, string firstView, string secondView, IReadOnlyList<StoredLosWind> winds)
    {
        var first = winds.Where(w => w.Profile.Line == line && w.Profile.View == firstView).ToArray();
        // The place's own look is the earlier or the later one, so it lies in the orbit or within the matcher's reach after it.
        var second = winds.Where(w => w.Profile.Line == line && w.Profile.View == secondView && w.Profile.Time >= orbit.Start && w.Profile.Time <= orbit.End.AddSeconds(ReachS)).ToArray();
        foreach (var (place, matched) in second.Zip(WindVectorMatcher.MatchEach([.. first.Select(w => w.Profile)], second.Select(w => w.Profile))))
        {
            WindVector[] vectors = [.. matched.Select(v => v.Rounded()).Where(v => IsIn(v, orbit))];
            if (vectors.Length == 0) continue;
            var near = first.Where(w => Math.Abs(w.Profile.Time - place.Profile.Time) <= ReachS);
            yield return new StoredWindVectors
            {
                Orbit = orbit.Number,
                Line = line,
                Exposure = place.Profile.Exposure,
                ExposureTime = place.Profile.Time,
                Vectors = vectors,
                CoefficientSet = place.CoefficientSet,
                InputHash = WindDigest.OfVectors(place.InputHash, near.Select(w => w.InputHash)),
                SoftwareVersion = SoftwareVersion.Current,
            };
        }
    }

    private static bool IsIn(WindVector v, OrbitSlot orbit)
    {
        var earlier = v.Time.AddSeconds(-v.SecondsBetweenLooks / 2);
        return earlier >= orbit.Start && earlier < orbit.End;
    }

    /// <summary>Values of the trackers that compare winds; none without winds.</summary>
    internal static IReadOnlyList<TrackerValue> Trackers(OrbitSlot orbit, MissionState mission, Instant missionTime, IReadOnlyList<FringeResult> fringes, IReadOnlyList<StoredLosWind> winds, IReadOnlyList<StoredWindVectors> vectors)
    {
        if (winds.Count == 0) return [];
        var input = new OrbitInput
        {
            Orbit = orbit.Number,
            Start = orbit.Start,
            End = orbit.End,
            Complete = missionTime >= orbit.End,
            NeighboursComplete = missionTime >= orbit.End.AddSeconds(OrbitInput.ReachOrbits * (orbit.End - orbit.Start)),
            Instrument = mission.Instrument,
            Fringes = fringes,
            Winds = [.. winds.SelectMany(AlongSight), .. vectors.SelectMany(v => v.Vectors).Where(v => v.Quality == WindQuality.Good).Select(v => Eastward(v, mission))],
        };
        return TrackerCatalog.Compute(new OrbitAnalysis(input), TrackerSource.Winds);
    }

    /// <summary>Good winds along the line of sight as trackers take them.</summary>
    internal static IEnumerable<OrbitWind> AlongSight(StoredLosWind stored) => stored.Profile.Rows.Where(w => w.Quality == WindQuality.Good)
        .Select(w => new OrbitWind(stored.Profile.Time, stored.Profile.View, stored.Profile.Line, Degrees(w.LatitudeRad), w.AltitudeKm, false, w.WindMs, w.SigmaMs));

    private static OrbitWind Eastward(WindVector v, MissionState mission) => new(
        v.Time, null, v.Line, Degrees(v.LatitudeRad), v.AltitudeKm,
        mission.Ephemerides.TryGetState(v.Time, out var state, out _) && state.VelocityTemeMs.Z > 0, v.EastwardMs, v.EastwardSigmaMs);

    private static double Degrees(double rad) => rad * (180 / Math.PI);
}
