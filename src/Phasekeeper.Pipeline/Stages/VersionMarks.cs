using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Marks what has to be made again at a start with another version of an algorithm than the one that the store's products were made with. The version is kept, and put on record, in the transaction of the marks.</summary>
internal static class VersionMarks
{
    /// <summary>Marks what another version made; nothing where it is the same.</summary>
    /// <param name="stores">Stores.</param>
    /// <param name="clock">Wall clock.</param>
    /// <param name="key">Setting that holds the version.</param>
    /// <param name="version">The version of this program.</param>
    /// <param name="products">What it makes, for the record.</param>
    /// <param name="kindOfWork">Work that makes it again, by the version before (null: not known).</param>
    /// <param name="cancel">Gives up.</param>
    /// <param name="keysOf">Keys of that work from the orbits; null = their numbers.</param>
    public static async Task MarkAsync(Stores stores, TimeProvider clock, string key, string version, string products, Func<string?, string> kindOfWork, CancellationToken cancel, Func<IReadOnlyList<(int Orbit, Instant Start, Instant End)>, IEnumerable<long>>? keysOf = null)
    {
        var before = stores.Settings.Get(key);
        if (before == version) return;
        var orbits = stores.Orbits.Spans(int.MinValue, int.MaxValue);
        long[] keys = [.. keysOf?.Invoke(orbits).Distinct() ?? orbits.Select(o => (long)o.Orbit)];
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            if (keys.Length > 0) WorkQueue.Mark(t, kindOfWork(before), keys, now);
            SettingStore.Set(t, key, version);
            RecordStore.Append(t, Actor.System, RecordKinds.VersionChange, products, before is null ? null : new { Versions = before }, new { Versions = version, OrbitsToMakeAgain = orbits.Count }, null, now);
        }, cancel).ConfigureAwait(false);
    }
}
