using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Thermal;
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
    // The lag tracker searches up to this many times the approved lag.
    private const double LongestLagFactor = ThermalLagTracker.SearchFactor;
    private readonly TemperatureLookup temperatures = new(stores);

    /// <summary>Channel statistics, shared with whoever tells them that telemetry changed.</summary>
    public ChannelStatistics Channels { get; } = new(stores, plan);

    /// <summary>Runs one item; false when the orbit is not known any more.</summary>
    public async Task<bool> RunAsync(WorkItem item, MissionState mission, Instant missionTime, CancellationToken cancel)
    {
        var number = (int)item.Key;
        if (mission.Orbits.Of(number) is not { } orbit || !HasData(orbit))
        {
            // Dependents are marked before they exist; an orbit without data has nothing to compute.
            await stores.Database.WriteAsync(t => WorkQueue.Clear(t, item), cancel).ConfigureAwait(false);
            return false;
        }
        var sky = OrbitSky.Of(orbit, mission);
        var input = Input(orbit, mission, missionTime, sky, out var exposures);
        var analysis = new OrbitAnalysis(input);
        var values = TrackerCatalog.Compute(analysis);
        var old = stores.Orbits.Get(number);
        var facts = OrbitFacts.Collect(analysis, mission, exposures, stores.Streams.Coverage(orbit.Start, orbit.End), missionTime);
        var row = Row(input, exposures, sky, mission, old) with { Detail = facts.ToJson() };
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            OrbitStore.Replace(t, row);
            TrackerStore.ReplaceOrbit(t, number, values);
            TelemetryStore.ReplaceOrbit(t, number, orbit.Start, orbit.End);
            FringeStore.SetOrbit(t, number, orbit.Start, orbit.End);
            if (old is null) EventStore.Add(t, now, "orbit", number.ToString(System.Globalization.CultureInfo.InvariantCulture), $"Orbit {number} began to arrive.");
            WorkQueue.Mark(t, WorkKinds.Assess, number, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
        return true;
    }

    private bool HasData(OrbitSlot orbit) => stores.Streams.Coverage(orbit.Start, orbit.End).Count > 0;

    private OrbitInput Input(OrbitSlot orbit, MissionState mission, Instant missionTime, OrbitSky? sky, out ExposureCount exposures)
    {
        var length = orbit.End - orbit.Start;
        var windowStart = orbit.Start.AddSeconds(-OrbitInput.ReachOrbits * length);
        var windowEnd = orbit.End.AddSeconds(OrbitInput.ReachOrbits * length);
        var all = mission.Instrument is null ? [] : stores.Fringes.Read(windowStart, windowEnd).Select(f => f.Result)
            .OrderBy(f => f.Time).ThenBy(f => f.Exposure).ThenBy(f => f.View, StringComparer.Ordinal).ThenBy(f => f.Line, StringComparer.Ordinal).ToArray();
        var own = all.Where(f => f.Time >= orbit.Start && f.Time < orbit.End).ToArray();
        var neighbours = all.Where(f => f.Time < orbit.Start || f.Time >= orbit.End).ToArray();
        var coefficients = mission.Coefficients.At(orbit.Start);
        var longestLag = LongestLagFactor * (coefficients?.Set.Optics.Max(o => o.Thermal.LagS) ?? 0);
        exposures = ExposureCount.Of(orbit, own, mission, stores.Fringes.FirstTime, missionTime);
        var input = new OrbitInput
        {
            Orbit = orbit.Number,
            Start = orbit.Start,
            End = orbit.End,
            Complete = missionTime >= orbit.End,
            NeighboursComplete = missionTime >= windowEnd,
            Instrument = mission.Instrument,
            Coefficients = coefficients?.Set,
            Fringes = own,
            NeighbourLamps = [.. neighbours.Where(f => f.Kind == ExposureKind.Lamp)],
            NeighbourShifts = [.. neighbours.Where(f => double.IsFinite(f.ImageShiftSamples) && f.ImageShiftSigmaSamples > 0)
                .Select(f => new ImageShiftMeasurement(f.Time, f.View, f.ImageShiftSamples, f.ImageShiftSigmaSamples))],
            BenchC = temperatures.Series(mission.Profile.BenchTemperature, windowStart.AddSeconds(-TemperatureLookup.LongestGapS), windowEnd.AddSeconds(TemperatureLookup.LongestGapS)),
            DetectorC = temperatures.Series(mission.Profile.DetectorTemperature, orbit.Start.AddSeconds(-TemperatureLookup.LongestGapS), orbit.End.AddSeconds(TemperatureLookup.LongestGapS)),
            Channels = Channels.Of(orbit),
            RecentChannels = [.. Enumerable.Range(1, OrbitInput.RecentOrbits).Select(back => mission.Orbits.Of(orbit.Number - back)).OfType<OrbitSlot>().Select(Channels.Of).Where(c => c.Count > 0)],
            Completeness = Completeness(orbit, exposures),
            LatencyS = Latency(orbit, mission),
            Setting = sky?.Setting,
            Geometry = Geometry(own, mission),
        };
        return input with
        {
            InterferometerC = temperatures.Series(mission.Profile.InterferometerTemperature, input.TemperatureFrom(longestLag).AddSeconds(-TemperatureLookup.LongestGapS), windowEnd.AddSeconds(TemperatureLookup.LongestGapS)),
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

    private static List<ExposureGeometry> Geometry(IReadOnlyList<FringeResult> fringes, MissionState mission)
    {
        var list = new List<ExposureGeometry>();
        if (mission.Instrument is not { } instrument) return list;
        foreach (var exposure in fringes.Where(f => f.Kind == ExposureKind.Scene).GroupBy(f => (f.Exposure, f.Time)).OrderBy(g => g.Key.Exposure))
        {
            if (LookTable.At(exposure.Key.Time, mission) is not { } looks) continue;
            for (var v = 0; v < instrument.Views.Count; v++)
                list.Add(new(exposure.Key.Exposure, instrument.Views[v].Id, looks.Satellite.LatitudeRad * (180 / Math.PI), looks.Satellite.LongitudeRad * (180 / Math.PI),
                    [.. looks.Looks[v].Select(l => l.TangentAltitudeM * 1e-3)]));
        }
        return [.. list.OrderBy(g => g.Exposure).ThenBy(g => g.View, StringComparer.Ordinal)];
    }

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
            VerdictReasons = old?.VerdictReasons ?? "Not assessed yet.",
            Provisional = !input.NeighboursComplete,
            EphemerisFile = sky?.EphemerisFile,
            CoefficientSet = mission.Coefficients.At(input.Start)?.SetId,
        };
    }
}
