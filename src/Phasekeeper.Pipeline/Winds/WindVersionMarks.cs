using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>The versions of the winds' and vectors' algorithm: fingerprints alone tell of a change only to those who look.</summary>
internal static class WindVersionMarks
{
    internal const string Key = "wind-versions";
    private const string Now = WindDigest.WindVersion + " " + WindDigest.VectorVersion;

    /// <summary>Marks what other versions made; nothing where the versions are the same.</summary>
    public static Task MarkAsync(Stores stores, TimeProvider clock, CancellationToken cancel) =>
        // Winds that are the same again still mark their vectors.
        VersionMarks.MarkAsync(stores, clock, Key, Now, "winds", before => before?.Split(' ')[0] == WindDigest.WindVersion ? WorkKinds.Vectors : WorkKinds.Winds, cancel);
}
