using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// The version of the fringe retrieval: hours whose phases another version retrieved are retrieved again. A phase's fingerprint holds the version too (<see cref="RowsDigest"/>), so what is marked is really made
/// again; phases that changed mark their orbits, and these their winds.
/// </summary>
internal static class RetrievalVersionMarks
{
    internal const string Key = "retrieval-version";

    /// <summary>Marks the hours; nothing where the version is the same.</summary>
    public static Task MarkAsync(Stores stores, TimeProvider clock, CancellationToken cancel) =>
        VersionMarks.MarkAsync(stores, clock, Key, RowsDigest.RetrievalVersion, "phases", _ => WorkKinds.Retrieve, cancel, _ => stores.Fringes.HoursBetween(long.MinValue, long.MaxValue));
}
