using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>
/// Winds of one orbit made again by the stages' own code with a correction left out; nothing is stored. Vectors need both looks within the orbit, so some minutes at its ends have none.
/// </summary>
public sealed class WindRecomputation(Stores stores)
{
    private readonly WindSceneReader scenes = new(stores);

    /// <summary>Vectors of an orbit, in order of exposure and line; <paramref name="off"/> null = all corrections made. Empty where winds cannot be made.</summary>
    public IReadOnlyList<StoredWindVectors> Vectors(OrbitSlot orbit, MissionState mission, Instant missionTime, WindCorrection? off, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(mission);
        if (mission.Instrument is not { Views.Count: > 1 } instrument || mission.Coefficients.At(orbit.Start) is not { } coefficients) return [];
        var sequences = scenes.Read(orbit, mission, missionTime);
        if (off is { } without)
            sequences = [.. sequences.Select(s => s.Select(scene => coefficients.Set.OpticsOf(instrument.Views[scene.View].Id, scene.Line.Id) is { } optics ? scene.Without(without, optics) : scene).ToArray())];
        var (winds, _) = WindStage.Retrieve(orbit.Number, sequences, [], cancel);
        if (off == WindCorrection.Inversion)
        {
            var inputs = sequences.SelectMany(s => s).Where(s => s.IsOwn).ToDictionary(s => (s.Fringe.Result.Time, s.Fringe.Result.Exposure, s.Fringe.Result.View, s.Fringe.Result.Line), s => s.ToInput());
            winds = [.. winds.Select(w => w with { Profile = LosWindRetrieval.WithoutInversion(inputs[(w.Profile.Time, w.Profile.Exposure, w.Profile.View, w.Profile.Line)], w.Profile).Rounded() })];
        }
        return [.. instrument.Lines.SelectMany(l => WindVectorStage.Match(orbit, l.Id, instrument.Views[0].Id, instrument.Views[1].Id, winds))
            .OrderBy(v => v.ExposureTime).ThenBy(v => v.Exposure).ThenBy(v => v.Line, StringComparer.Ordinal)];
    }
}
