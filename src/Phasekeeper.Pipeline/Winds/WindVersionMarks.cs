using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Winds;

/// <summary>
/// Marks every orbit at a start with other versions of the winds' or vectors' algorithm than those that the store's winds were made with: fingerprints alone tell of a change only to
/// those who look. The versions are kept, and put on record, in the transaction of the marks.
/// </summary>
internal sealed class WindVersionMarks(Stores stores, TimeProvider clock)
{
    internal const string Key = "wind-versions";
    private const string Now = WindDigest.WindVersion + " " + WindDigest.VectorVersion;

    /// <summary>Marks what other versions made; nothing where the versions are the same.</summary>
    public async Task MarkAsync(CancellationToken cancel)
    {
        var before = stores.Settings.Get(Key);
        if (before == Now) return;
        // Winds that are the same again still mark their vectors.
        var kind = before?.Split(' ')[0] == WindDigest.WindVersion ? WorkKinds.Vectors : WorkKinds.Winds;
        long[] orbits = [.. stores.Orbits.Touching(Instant.MinValue, Instant.MaxValue).Select(o => (long)o.Orbit)];
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            if (orbits.Length > 0) WorkQueue.Mark(t, kind, orbits, now);
            SettingStore.Set(t, Key, Now);
            RecordStore.Append(t, Actor.System, RecordKinds.VersionChange, "winds", before is null ? null : new { Versions = before }, new { Versions = Now, OrbitsToMakeAgain = orbits.Length }, null, now);
        }, cancel).ConfigureAwait(false);
    }
}
