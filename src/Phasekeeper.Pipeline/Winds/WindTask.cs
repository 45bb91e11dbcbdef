using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>A scene with its fingerprint and, once made, its wind without a gradient.</summary>
internal sealed class SceneTask(WindScene scene)
{
    public WindScene Scene { get; } = scene;
    public byte[] Hash { get; } = WindDigest.OfScene(scene);
    public LimbPaths? Paths { get; private set; }
    public LosWindProfile? Profile { get; private set; }

    /// <summary>First pass: the exposure alone. Called once.</summary>
    public void Alone(LimbPaths? paths)
    {
        Paths = paths;
        Profile = LosWindRetrieval.Retrieve(Scene.ToInput(), paths);
    }
}

/// <summary>One wind profile of the orbit to be kept or made.</summary>
/// <param name="Before">The exposure before; null when none is near.</param>
/// <param name="Here">The exposure.</param>
/// <param name="After">The exposure after; null when none is near.</param>
/// <param name="InputHash">Fingerprint of all three.</param>
/// <param name="Kept">The stored result when its fingerprint is the same; null: to be made.</param>
internal sealed record WindTask(SceneTask? Before, SceneTask Here, SceneTask? After, byte[] InputHash, StoredLosWind? Kept)
{
    public IEnumerable<SceneTask?> Trio => [Before, Here, After];

    /// <summary>Tasks of a sequence of one view and line, in time order.</summary>
    public static IEnumerable<WindTask> Of(WindScene[] sequence, IReadOnlyDictionary<(Instant, long, string, string), StoredLosWind> known)
    {
        var scenes = Array.ConvertAll(sequence, s => new SceneTask(s));
        for (var i = 0; i < scenes.Length; i++)
        {
            var here = scenes[i];
            if (!here.Scene.IsOwn) continue;
            var (before, after) = (i > 0 ? Near(scenes[i - 1], here) : null, i + 1 < scenes.Length ? Near(scenes[i + 1], here) : null);
            var hash = WindDigest.OfWind(before?.Hash, here.Hash, after?.Hash);
            var fringe = here.Scene.Fringe.Result;
            var same = known.TryGetValue((fringe.Time, fringe.Exposure, fringe.View, fringe.Line), out var stored) && stored.InputHash.AsSpan().SequenceEqual(hash);
            yield return new(before, here, after, hash, same ? stored : null);
        }
    }

    /// <summary>Second pass: with the changes of wind and emission along the rays that the neighbours show.</summary>
    public StoredLosWind Make(int orbit)
    {
        var scene = Here.Scene;
        var input = scene.ToInput();
        var seen = input.WithNeighbours(Before?.Profile, Here.Profile!, After?.Profile);
        var profile = ReferenceEquals(seen, input) ? Here.Profile! : LosWindRetrieval.Retrieve(seen, Here.Paths);
        return new StoredLosWind
        {
            Orbit = orbit,
            Profile = profile.WithRowReasons(scene.Looks.Looks[scene.View]).Rounded(),
            CoefficientSet = scene.Fringe.CoefficientSet,
            EphemerisFile = scene.Looks.Ephemeris.FileId,
            AttitudeFile = scene.Looks.AttitudeFile,
            InputHash = InputHash,
            SoftwareVersion = SoftwareVersion.Current,
        };
    }

    private static SceneTask? Near(SceneTask other, SceneTask here) =>
        Math.Abs(other.Scene.Fringe.Result.Time - here.Scene.Fringe.Result.Time) <= WindSceneReader.NeighbourS ? other : null;
}
