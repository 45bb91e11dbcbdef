using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>
/// Scenes of one orbit and those just beyond its ends, as sequences of one view and line in time order. All of them take drift and image shift from this orbit's own
/// analysis, so that its winds follow from its inputs alone.
/// </summary>
/// <param name="stores">Temperatures and, without a source, fringes.</param>
/// <param name="source">Fringes; null: the stored ones.</param>
internal sealed class WindSceneReader(Stores stores, IFringeSource? source = null)
{
    /// <summary>Exposures further apart than this tell nothing of the wind along each other's rays, s (3000 km along the track: <see cref="AlongRayGradient"/>).</summary>
    public const double NeighbourS = 450;

    private readonly IFringeSource fringeSource = source ?? new StoredFringes(stores);
    private readonly OrbitInputReader inputs = new(stores, source);

    /// <summary>Reads the sequences; empty where no orbit or attitude file covers the scenes.</summary>
    public IReadOnlyList<WindScene[]> Read(OrbitSlot orbit, MissionState mission, Instant missionTime)
    {
        if (mission.Instrument is not { } instrument || mission.Coefficients.At(orbit.Start) is not { } coefficients) return [];
        var fringes = fringeSource.Read(orbit.Start.AddSeconds(-NeighbourS), orbit.End.AddSeconds(NeighbourS), ExposureKind.Scene);
        if (!fringes.Any(f => IsIn(f, orbit))) return [];
        var analysis = new OrbitAnalysis(inputs.Read(orbit, mission, missionTime, sky: null));
        var looks = new Dictionary<Instant, ExposureLooks?>();
        var sequences = new List<WindScene[]>();
        foreach (var channel in analysis.Channels)
        {
            var view = Enumerable.Range(0, instrument.Views.Count).First(v => instrument.Views[v].Id == channel.View);
            var drift = analysis.Drift(channel);
            var shift = analysis.Shift(channel.View);
            var sequence = new List<WindScene>();
            foreach (var fringe in Within(fringes, orbit, channel, coefficients.SetId))
            {
                var time = fringe.Result.Time;
                if (!looks.TryGetValue(time, out var look)) looks.Add(time, look = LookTable.At(time, mission));
                if (look is null) continue;
                sequence.Add(new WindScene
                {
                    Fringe = fringe,
                    IsOwn = IsIn(fringe, orbit),
                    Looks = look,
                    View = view,
                    Line = channel.Line,
                    Instrument = instrument,
                    Drift = drift.TryGet(time, out var estimate) ? estimate : null,
                    Shift = shift.At(time),
                    Reasons = Reasons(fringe, look, view, coefficients, mission),
                });
            }
            if (sequence.Exists(s => s.IsOwn)) sequences.Add([.. sequence]);
        }
        return sequences;
    }

    // The orbit's own scenes, and the nearest one beyond either end. Beyond an end another coefficient set may be in force: its phases have another zero, which this orbit's drift does not fit.
    private static IEnumerable<StoredFringe> Within(IReadOnlyList<StoredFringe> fringes, OrbitSlot orbit, OpticalChannel channel, long set)
    {
        var ofChannel = fringes.Where(f => f.Result.View == channel.View && f.Result.Line == channel.Line.Id).OrderBy(f => f.Result.Time).ThenBy(f => f.Result.Exposure).ToArray();
        var beyond = ofChannel.Where(f => f.CoefficientSet == set);
        return [.. beyond.Where(f => f.Result.Time < orbit.Start).TakeLast(1), .. ofChannel.Where(f => IsIn(f, orbit)), .. beyond.Where(f => f.Result.Time >= orbit.End).Take(1)];
    }

    private static bool IsIn(StoredFringe fringe, OrbitSlot orbit) => fringe.Result.Time >= orbit.Start && fringe.Result.Time < orbit.End;

    private static List<WindQualityReason> Reasons(StoredFringe fringe, ExposureLooks look, int view, CoefficientsInForce coefficients, MissionState mission)
    {
        var time = fringe.Result.Time;
        var reasons = new List<WindQualityReason>(WindSurroundings.OfView(time, look.Looks[view], mission.Instrument!.Avoid));
        if (time < coefficients.Set.ValidFrom)
            reasons.Add(new(WindQuality.Doubtful, WindReasonCatalog.CoefficientsExtended, $"The coefficient set '{coefficients.Set.Name}' is valid from {coefficients.Set.ValidFrom} on."));
        if (look.Ephemeris.Ephemeris.Kind == EphemerisKind.MeanElements)
            reasons.Add(new(WindQuality.Good, WindReasonCatalog.MeanElements, $"The orbit is from mean elements: the satellite's speed along the line of sight is known to {WindScene.MeanElementsSigmaMs:0} m/s."));
        var half = fringe.Result.IntegrationS / 2;
        foreach (var activity in mission.Activities.Where(a => a.From < time.AddSeconds(half) && a.To > time.AddSeconds(-half) && Disturbs(a.Kind, look)).Take(1))
            reasons.Add(new(WindQuality.Doubtful, WindReasonCatalog.PlannedActivity, $"Planned activity: {activity.Summary}."));
        return reasons;
    }

    // A yaw turn that an attitude file tells of is known, and then only another way to look.
    private static bool Disturbs(ActivityKind kind, ExposureLooks look) => kind.Winds switch
    {
        WindDoubt.Always => true,
        WindDoubt.WithoutAttitudeFile => look.AttitudeFile is null,
        _ => false,
    };
}
