using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Trials;

/// <summary>
/// One coefficient set on orbits, as if it had been in force on all of them: fringes from the archive, trackers' values and winds by the stages' own code, and nothing is stored. It works on one processor, so that
/// the engine keeps the others. Not for several threads at once.
/// </summary>
public sealed class SetTrial
{
    private readonly Stores stores;
    private readonly IFringeSource fringes;
    private readonly OrbitInputReader inputs;
    private readonly WindSceneReader scenes;
    private readonly CoefficientTimeline inForce;

    /// <summary>A trial of a set.</summary>
    /// <param name="stores">Stores.</param>
    /// <param name="mission">Everything else that products depend on.</param>
    /// <param name="set">The set; from when it is in force does not matter.</param>
    /// <param name="like">A trial whose fringes are taken where the retrieval cannot tell the two sets apart; null: none.</param>
    /// <param name="useStored">False: also what is stored with this very set is retrieved again.</param>
    public SetTrial(Stores stores, MissionState mission, CoefficientsInForce set, SetTrial? like = null, bool useStored = true)
    {
        ArgumentNullException.ThrowIfNull(mission);
        this.stores = stores;
        Set = set;
        inForce = mission.Coefficients;
        Mission = mission with { Coefficients = new CoefficientTimeline([set with { From = Instant.MinValue }]) };
        fringes = like is not null && RetrievalNumbers.Same(like.Set.Set, set.Set) ? new RelabelledFringes(like.fringes, set.SetId) : new TrialFringes(stores, Mission, useStored);
        inputs = new OrbitInputReader(stores, fringes);
        scenes = new WindSceneReader(stores, fringes);
    }

    /// <summary>The set.</summary>
    public CoefficientsInForce Set { get; }

    /// <summary>The mission with this set alone.</summary>
    public MissionState Mission { get; }

    /// <summary>The orbit's own fringes.</summary>
    public IReadOnlyList<StoredFringe> Fringes(OrbitSlot orbit) => fringes.Read(orbit.Start, orbit.End);

    /// <summary>What drift, image shift and the trackers of fringes are computed from.</summary>
    public OrbitInput Input(OrbitSlot orbit) => inputs.Read(orbit, Mission, MissionTime, OrbitSky.Of(orbit, Mission));

    /// <summary>Winds along the line of sight.</summary>
    public IReadOnlyList<StoredLosWind> Winds(OrbitSlot orbit, CancellationToken cancel) =>
        WindStage.Retrieve(orbit.Number, scenes.Read(orbit, MissionOn(orbit), MissionTime), [], cancel, atOnce: 1).Winds;

    // As if it had been in force: where it is not, that its validity begins later is no doubt about its winds.
    private MissionState MissionOn(OrbitSlot orbit) => Set.Set.ValidFrom <= orbit.Start || inForce.At(orbit.Start)?.SetId == Set.SetId ? Mission
        : Mission with { Coefficients = new CoefficientTimeline([Set with { From = Instant.MinValue, Set = Set.Set with { ValidFrom = orbit.Start } }]) };

    private Instant MissionTime => stores.Archive.LastPacketTime ?? Instant.MinValue;
}
