using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>One orbit: fills the trackers' input from the stores, computes all trackers, and replaces the orbit's row, values and roll-ups.</summary>
public sealed class OrbitStage(Stores stores, DecodingPlan plan, TimeProvider clock)
{
    private readonly OrbitInputReader inputs = new(stores);

    /// <summary>Channel statistics, shared with whoever tells them that telemetry changed.</summary>
    public ChannelStatistics Channels { get; } = new(stores, plan);

    /// <summary>Runs one item; false when the orbit is not known any more.</summary>
    public async Task<bool> RunAsync(WorkItem item, MissionState mission, Instant missionTime, CancellationToken cancel)
    {
        var number = (int)item.Key;
        if (mission.Orbits.Of(number) is not { } orbit || !HasData(orbit))
        {
            // Nothing to compute; and what stands here from before a better orbit file moved its data elsewhere is gone with them.
            await stores.Database.WriteAsync(t =>
            {
                OrbitStore.Delete(t, number);
                TrackerStore.ReplaceOrbit(t, number, []);
                WindStore.ReplaceOrbit(t, number, []);
                WindVectorStore.ReplaceOrbit(t, number, []);
                WorkQueue.Clear(t, item);
            }, cancel).ConfigureAwait(false);
            return false;
        }
        var sky = OrbitSky.Of(orbit, mission);
        var input = Input(orbit, mission, missionTime, sky, out var exposures);
        var analysis = new OrbitAnalysis(input);
        var values = TrackerCatalog.Compute(analysis, TrackerSource.Measurements);
        var old = stores.Orbits.Get(number);
        var facts = OrbitFacts.Collect(analysis, mission, exposures, stores.Streams.Coverage(DataGaps.LookBack(orbit, mission.Orbits), orbit.End), missionTime);
        var row = Row(input, exposures, sky, mission, old) with { Detail = facts.ToJson() };
        // Winds read what this stage reads of fringes and drift, and a little more beyond the orbit's ends; they change where its own data or its neighbours' changed.
        var withWinds = mission.Instrument is not null && (item.Kind == WorkKinds.Orbit || item.Priority >= WorkKinds.WithinReach);
        var windsProvisional = input.NeighboursComplete && stores.Trackers.OfOrbit(number).Any(v => v.Provisional && TrackerCatalog.IdsOf(TrackerSource.Winds).Contains(v.Key.Tracker));
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            OrbitStore.Replace(t, row);
            TrackerStore.ReplaceOrbit(t, number, values, TrackerCatalog.IdsOf(TrackerSource.Measurements), SoftwareVersion.Current);
            TelemetryStore.ReplaceOrbit(t, number, orbit.Start, orbit.End);
            FringeStore.SetOrbit(t, number, orbit.Start, orbit.End);
            if (old is null) EventStore.Add(t, now, "orbit", number.ToString(System.Globalization.CultureInfo.InvariantCulture), $"Orbit {number} began to arrive.");
            if (withWinds) WorkQueue.Mark(t, WorkKinds.Winds, number, now);
            else if (windsProvisional) WorkQueue.Mark(t, WorkKinds.Vectors, number, now);
            WorkQueue.Mark(t, WorkKinds.Assess, number, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        return true;
    }

    private bool HasData(OrbitSlot orbit) => stores.Streams.Coverage(orbit.Start, orbit.End).Count > 0;

    private OrbitInput Input(OrbitSlot orbit, MissionState mission, Instant missionTime, OrbitSky? sky, out ExposureCount exposures)
    {
        var input = inputs.Read(orbit, mission, missionTime, sky);
        exposures = ExposureCount.Of(orbit, input.Fringes, mission, stores.Fringes.FirstTime, missionTime);
        return input with
        {
            Channels = Channels.Of(orbit),
            RecentChannels = [.. Enumerable.Range(1, OrbitInput.RecentOrbits).Select(back => mission.Orbits.Of(orbit.Number - back)).OfType<OrbitSlot>().Select(Channels.Of).Where(c => c.Count > 0)],
            Completeness = Completeness(orbit, exposures),
            LatencyS = Latency(orbit, mission),
        };
    }

    private OrbitCompleteness Completeness(OrbitSlot orbit, ExposureCount exposures)
    {
        var received = stores.Streams.Coverage(orbit.Start, orbit.End);
        var gaps = stores.Streams.Events(orbit.Start, orbit.End, StreamStore.Gap);
        // Hours that reach beyond the orbit count by their share of it, to the packet.
        var packets = received.Sum(c => c.FirstTime >= orbit.Start && c.LastTime < orbit.End ? c.Count : PacketsWithin(c, orbit));
        var missing = (long)gaps.Sum(g => g.Amount);
        return new OrbitCompleteness
        {
            ExpectedRows = exposures.ExpectedRows,
            ReceivedRows = exposures.ReceivedRows,
            ExpectedPackets = packets + missing,
            ReceivedPackets = packets,
            SequenceGaps = gaps.Count,
        };
    }

    private static long PacketsWithin(CoverageRow hour, OrbitSlot orbit)
    {
        var length = Math.Max(hour.LastTime - hour.FirstTime, 1);
        var from = hour.FirstTime > orbit.Start ? hour.FirstTime : orbit.Start;
        var to = hour.LastTime < orbit.End ? hour.LastTime : orbit.End;
        return (long)Math.Round(hour.Count * Math.Clamp((to - from) / length, 0, 1));
    }

    private IReadOnlyList<double> Latency(OrbitSlot orbit, MissionState mission) =>
        mission.Profile.Live ? stores.Ingest.LatenciesS(orbit.Start, orbit.End) : [];

    private static OrbitRow Row(OrbitInput input, ExposureCount exposures, OrbitSky? sky, MissionState mission, OrbitRow? old)
    {
        var shadow = sky is { Shadows.Count: > 0 } ? sky.Shadows[0] : (TimeStretch?)null;
        return new OrbitRow
        {
            Orbit = input.Orbit,
            Start = input.Start,
            End = input.End,
            BetaDeg = sky?.Setting.BetaDeg,
            EclipseFraction = sky?.Setting.EclipseFraction,
            EclipseStart = shadow?.Start,
            EclipseEnd = shadow?.End,
            ExpectedExposures = exposures.ExpectedExposures,
            ReceivedExposures = exposures.ReceivedExposures,
            ExpectedRows = (int)exposures.ExpectedRows,
            ReceivedRows = (int)exposures.ReceivedRows,
            // The verdict follows from flags too: the assessment that is marked with this row sets it.
            Verdict = old?.Verdict ?? "incomplete",
            VerdictReasons = old?.VerdictReasons ?? OrbitVerdict.NotYet,
            Provisional = !input.NeighboursComplete,
            EphemerisFile = sky?.EphemerisFile,
            CoefficientSet = mission.Coefficients.At(input.Start)?.SetId,
            SoftwareVersion = SoftwareVersion.Current,
        };
    }
}
