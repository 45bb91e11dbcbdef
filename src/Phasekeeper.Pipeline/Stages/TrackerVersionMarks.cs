using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Marks every orbit at a start with another version of what orbits are computed with than the store's: values of trackers carry no fingerprint that would tell. The version is kept, and put on record, in the
/// transaction of the marks. Winds of these orbits are looked at again too, and made again where their drift has changed.
/// </summary>
internal sealed class TrackerVersionMarks(Stores stores, TimeProvider clock)
{
    /// <summary>
    /// To be raised whenever the drift c(t), the image shift s(t) or a tracker of measurements may come out otherwise from the same fringes and telemetry (Core/Thermal, Core/Trackers): another algorithm, prior,
    /// constant or order of sums. Trackers of winds follow the versions of the winds (<see cref="Winds.WindDigest"/>).
    /// </summary>
    public const string Version = "trackers/1";

    internal const string Key = "tracker-version";

    /// <summary>Marks what another version computed; nothing where it is the same.</summary>
    public async Task MarkAsync(CancellationToken cancel)
    {
        var before = stores.Settings.Get(Key);
        if (before == Version) return;
        long[] orbits = [.. stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => (long)o.Orbit)];
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            if (orbits.Length > 0) WorkQueue.Mark(t, WorkKinds.Orbit, orbits, now);
            SettingStore.Set(t, Key, Version);
            RecordStore.Append(t, Actor.System, RecordKinds.VersionChange, "trackers", before is null ? null : new { Version = before }, new { Version, OrbitsToMakeAgain = orbits.Length }, null, now);
        }, cancel).ConfigureAwait(false);
    }
}
