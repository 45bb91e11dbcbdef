using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>Which corrections are made; each can be left out to see what it is worth.</summary>
public sealed record Corrections
{
    public static Corrections All { get; } = new();
    public bool Drift { get; init; } = true;
    public bool ImageShift { get; init; } = true;
    public bool SatelliteMotion { get; init; } = true;
    public bool EarthRotation { get; init; } = true;
    public bool ZeroWind { get; init; } = true;
    /// <summary>Attitude that attitude data report; null: nominal.</summary>
    public AemAttitude? Attitude { get; init; }
    /// <summary>What becomes of a scene's phases before winds are made from them; null: nothing.</summary>
    public Func<FringeResult, FringeResult>? Seen { get; init; }
    /// <summary>σ of a yaw error that nothing reports, degrees.</summary>
    public double YawSigmaDeg { get; init; }
}

/// <summary>Winds of the complete orbits of a stretch whose neighbours within reach are in it too, by the steps of domain.md section 3.</summary>
public sealed class ScenarioWinds
{
    private readonly ScenarioMission mission;
    private readonly IReadOnlyList<OrbitAnalysis> orbits;
    private readonly Corrections corrections;

    public ScenarioWinds(ScenarioMission mission, Corrections corrections)
    {
        (this.mission, this.corrections) = (mission, corrections);
        orbits = Orbits();
    }

    /// <summary>Drift and shift of each orbit.</summary>
    public IReadOnlyList<OrbitAnalysis> Analyses => orbits;

    /// <summary>Profiles of all scenes in order of time, view and line: first each by itself, then with the gradients of its neighbours.</summary>
    public IReadOnlyList<LosWindProfile> Retrieve()
    {
        // Drift and shift are made lazily by objects that serve one thread.
        var inputs = orbits.SelectMany(Inputs).ToList();
        return [.. inputs.GroupBy(i => (i.Input.Fringe.View, i.Input.Fringe.Line)).SelectMany(group =>
        {
            var scenes = group.ToArray();
            var alone = scenes.AsParallel().AsOrdered().Select(s => LosWindRetrieval.Retrieve(s.Input, s.Paths.Value)).ToArray();
            return Enumerable.Range(0, scenes.Length).AsParallel().AsOrdered().Select(i =>
            {
                var (before, here, after) = (alone.ElementAtOrDefault(i - 1), alone[i], alone.ElementAtOrDefault(i + 1));
                return LosWindRetrieval.Retrieve(scenes[i].Input.WithNeighbours(before, here, after), scenes[i].Paths.Value);
            }).ToArray();
        }).OrderBy(p => p.Time).ThenBy(p => p.View, StringComparer.Ordinal).ThenBy(p => p.Line, StringComparer.Ordinal)];
    }

    private IEnumerable<(LosWindInput Input, Lazy<LimbPaths?> Paths)> Inputs(OrbitAnalysis orbit)
    {
        var looks = new Dictionary<(long, string), (LookSample[] Looks, Lazy<LimbPaths?> Paths)>();
        foreach (var channel in orbit.Channels)
            foreach (var scene in orbit.Exposures(ExposureKind.Scene, channel.View, channel.Line.Id))
            {
                var fringe = corrections.Seen?.Invoke(scene) ?? scene;
                if (!looks.TryGetValue((fringe.Exposure, channel.View), out var look))
                {
                    var all = mission.Looks(fringe.Time, channel.View, corrections.Attitude);
                    looks[(fringe.Exposure, channel.View)] = look = ([.. all.Select(WithCorrections)], new(() => LimbPaths.TryBuild(all)));
                }
                var drift = orbit.Drift(channel).TryGet(fringe.Time, out var d) ? d : (DriftEstimate?)null;
                if (!corrections.Drift && drift is { } known) drift = known with { DriftRad = 0, ModelRad = 0, OffsetRad = 0 };
                yield return (new LosWindInput
                {
                    Fringe = corrections.ZeroWind ? fringe : fringe with { PhaseRad = [.. fringe.PhaseRad.Select((p, r) => p + channel.Optics.ZeroWindRad[r])] },
                    Looks = look.Looks,
                    Line = channel.Line,
                    Samples = mission.Instrument.Samples,
                    Drift = drift,
                    Shift = orbit.Shift(channel.View).At(fringe.Time),
                    SatelliteVelocityEcefAxesMs = EarthRotation.TemeToEcef(fringe.Time) * mission.StateAt(fringe.Time).VelocityTemeMs,
                    YawSigmaDeg = corrections.YawSigmaDeg,
                }, look.Paths);
            }
    }

    private LookSample WithCorrections(LookSample look) => look with
    {
        SatelliteSpeedMs = corrections.SatelliteMotion ? look.SatelliteSpeedMs : 0,
        EarthRotationMs = corrections.EarthRotation ? look.EarthRotationMs : 0,
    };

    private List<OrbitAnalysis> Orbits()
    {
        var nodes = NodeFinder.AscendingNodes(mission.Ephemeris, mission.From, mission.To);
        var fringes = corrections.ImageShift ? mission.Fringes : [.. mission.Fringes.Select(f => f with { ImageShiftSamples = double.NaN, ImageShiftSigmaSamples = double.NaN })];
        var coefficients = corrections.ImageShift ? mission.Coefficients : mission.Coefficients with { ImageShift = [] };
        var analyses = new List<OrbitAnalysis>();
        for (var n = OrbitInput.ReachOrbits; n + 1 + OrbitInput.ReachOrbits < nodes.Count; n++)
        {
            var (start, end) = (nodes[n], nodes[n + 1]);
            var window = fringes.Where(f => f.Time >= nodes[n - OrbitInput.ReachOrbits] && f.Time < nodes[n + 1 + OrbitInput.ReachOrbits]).ToArray();
            bool Own(Instant t) => t >= start && t < end;
            analyses.Add(new(new OrbitInput
            {
                Orbit = n,
                Start = start,
                End = end,
                Complete = true,
                NeighboursComplete = true,
                Instrument = mission.Instrument,
                Coefficients = coefficients,
                Fringes = [.. window.Where(f => Own(f.Time))],
                NeighbourLamps = [.. window.Where(f => !Own(f.Time) && f.Kind == ExposureKind.Lamp)],
                NeighbourShifts = [.. window.Where(f => !Own(f.Time) && double.IsFinite(f.ImageShiftSamples) && f.ImageShiftSigmaSamples > 0)
                    .Select(f => new ImageShiftMeasurement(f.Time, f.View, f.ImageShiftSamples, f.ImageShiftSigmaSamples))],
                InterferometerC = mission.InterferometerC,
                BenchC = mission.BenchC,
                DetectorC = mission.DetectorC,
            }));
        }
        return analyses;
    }
}
