using Phasekeeper.Core.Flags.Rules;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Rows of an hour → phases. A result is kept when nothing that went into it has changed; only the others are retrieved. An exposure
/// belongs to the hour of its earliest packet, also when other hours hold rows of it.
/// </summary>
public sealed class RetrieveStage(Stores stores, TimeProvider clock)
{
    private readonly HourRetrieval retrieval = new(stores, Environment.ProcessorCount);

    /// <summary>Runs one item. <paramref name="decoded"/>: the hour as just decoded, or null to read it from the archive.</summary>
    public async Task RunAsync(WorkItem item, MissionState mission, HourDecoder decoder, DecodedHour? decoded, CancellationToken cancel)
    {
        var hour = item.Key;
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var kept = stores.Fringes.OfHour(hour);
        var made = mission.Instrument is null ? HourFringes.None : retrieval.Run(hour, item.Priority >= WorkKinds.RowsChanged, kept, mission, decoder, decoded);
        var results = made.Results;
        // An exposure that belongs to another hour is that hour's to store: mark it unless it has it so already.
        long[] elsewhere = [.. made.Others.Where(g => !HasAll(g.Key, g.Value)).Select(g => g.Key)];
        var uncovered = Uncovered(hour, results, mission);
        var marks = OrbitMarks.Of([.. ChangedTimes(kept, results), .. FormerFirst(results)], mission, stores);
        await stores.Database.WriteAsync(t =>
        {
            FringeStore.ReplaceHour(t, hour, results);
            foreach (var conflict in made.Conflicts)
                QuarantineStore.Add(t, new QuarantineEntry(QuarantineStore.Conflict, Reason(conflict), "archive", 0, conflict.Loser.Packet.Bytes.Length, conflict.Loser.Packet.Bytes), now, hour);
            WorkQueue.Mark(t, WorkKinds.Retrieve, elsewhere, now, WorkKinds.RowsChanged);
            marks.Write(t, now);
            WorkQueue.Mark(t, WorkKinds.Assess, uncovered, now);
            WorkQueue.Clear(t, item);
        }, cancel).ConfigureAwait(false);
    }

    // Where the flag about this hour's exposures without motion stands, or has to stand: they may lie outside every orbit, so no orbit's work brings it up to date.
    private long[] Uncovered(long hour, IReadOnlyList<StoredFringe> results, MissionState mission)
    {
        if (mission.Instrument is null) return [];
        var (start, end) = (Hour.Start(hour), Hour.End(hour));
        var standing = stores.Flags.Standing(start, end).Where(f => mission.RuleVersions.Versions.Any(v => v.Rules.Find(f.Rule)?.Kind == CoverageMissingKind.KindId))
            .SelectMany(f => new[] { f.FirstOrbit, f.LastOrbit }).OfType<int>().Select(o => (long)o);
        var found = results.Where(r => r.Result.Kind == ExposureKind.Scene && r.EphemerisFile is null).Select(r => r.Result.Time).Distinct()
            .Select(mission.Orbits.Beside).OfType<int>().Select(o => (long)o);
        return [.. standing.Concat(found).Distinct().Order()];
    }

    // Moments of results that are new, other than before, or gone.
    private static TimeStretch[] ChangedTimes(IReadOnlyList<StoredFringe> kept, IReadOnlyList<StoredFringe> results)
    {
        static (Instant, string) Key(StoredFringe f) => (f.Result.Time, Convert.ToHexString(f.InputHash));
        var before = kept.Select(Key).ToHashSet();
        var now = results.Select(Key).ToHashSet();
        before.SymmetricExceptWith(now);
        return [.. before.Select(k => k.Item1).Distinct().Order().Select(t => new TimeStretch(t, t))];
    }

    // The orbit of the mission's first exposure counts from there; when an earlier one arrives it counts from its start, however far back that one lies.
    private IEnumerable<TimeStretch> FormerFirst(IReadOnlyList<StoredFringe> results) =>
        stores.Fringes.FirstTime is { } first && results.Any(r => r.Result.Kind is ExposureKind.Scene or ExposureKind.Lamp && r.Result.Time < first) ? [new(first, first)] : [];

    // Whether an hour's results were made from just these rows.
    private bool HasAll(long hour, IEnumerable<AssembledFrame> frames)
    {
        var made = stores.Fringes.OfHour(hour).Select(k => Convert.ToHexString(k.RowsHash)).ToHashSet();
        return frames.All(f => made.Contains(Convert.ToHexString(RowsDigest.OfRows(f))));
    }

    private static string Reason(RowConflict conflict) =>
        $"Another packet claims row {conflict.Loser.Row.Row} of {conflict.Loser.Row.Kind.ToString().ToLowerInvariant()} exposure {conflict.Loser.Row.Exposure}, view {conflict.Loser.Row.View}, "
        + $"{conflict.Loser.Row.Line}, with different bytes and a smaller SHA-256; that one is used.";
}
