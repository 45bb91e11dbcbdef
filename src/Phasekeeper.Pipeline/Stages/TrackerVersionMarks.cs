using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// The version of what orbits are computed with: values of trackers carry no fingerprint that would tell. Winds of marked orbits are looked at again too, and made again where their drift has changed.
/// </summary>
internal static class TrackerVersionMarks
{
    /// <summary>
    /// To be raised whenever the drift c(t), the image shift s(t) or a tracker of measurements may come out otherwise from the same fringes and telemetry (Core/Thermal, Core/Trackers): another algorithm, prior,
    /// constant or order of sums. Trackers of winds follow the versions of the winds (<see cref="Winds.WindDigest"/>).
    /// </summary>
    public const string Version = "trackers/1";

    internal const string Key = "tracker-version";

    /// <summary>Marks what another version computed; nothing where it is the same.</summary>
    public static Task MarkAsync(Stores stores, TimeProvider clock, CancellationToken cancel) =>
        VersionMarks.MarkAsync(stores, clock, Key, Version, "trackers", _ => WorkKinds.Orbit, cancel);
}
