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
    private readonly TemperatureLookup temperatures = new(stores);
    private readonly Dictionary<(long Set, string View, string Line), FringeRetrieval> retrievals = [];

    /// <summary>Runs one item. <paramref name="decoded"/>: the hour as just decoded, or null to read it from the archive.</summary>
    public async Task RunAsync(WorkItem item, MissionState mission, HourDecoder decoder, DecodedHour? decoded, CancellationToken cancel)
    {
        var hour = item.Key;
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var kept = stores.Fringes.OfHour(hour);
        var (results, conflicts, elsewhere) = mission.Instrument is null ? ([], [], []) : Retrieve(item, kept, mission, decoder, decoded);
        var uncovered = Uncovered(hour, results, mission);
        var marks = OrbitMarks.Of([.. ChangedTimes(kept, results), .. FormerFirst(results)], mission, stores);
        await stores.Database.WriteAsync(t =>
        {
            FringeStore.ReplaceHour(t, hour, results);
            foreach (var conflict in conflicts)
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
        var standing = stores.Flags.Standing(start, end).Where(f => mission.Rules.Enabled.Any(r => r.Id == f.Rule && r.Kind == CoverageMissingKind.KindId))
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

    private (IReadOnlyList<StoredFringe> Results, IReadOnlyList<RowConflict> Conflicts, IReadOnlyList<long> Elsewhere) Retrieve(
        WorkItem item, IReadOnlyList<StoredFringe> kept, MissionState mission, HourDecoder decoder, DecodedHour? decoded)
    {
        var hour = item.Key;
        var instrument = mission.Instrument!;
        var start = Hour.Start(hour).AddSeconds(-TemperatureLookup.LongestGapS);
        var end = Hour.End(hour).AddSeconds(TemperatureLookup.LongestGapS);
        var conditions = new RetrievalConditions(mission,
            temperatures.Series(mission.Profile.DetectorTemperature, start, end), temperatures.Series(mission.Profile.BenchTemperature, start, end));
        // Nothing but the conditions may have changed: then the rows' fingerprints tell without reading any packet.
        if (decoded is null && item.Priority < WorkKinds.RowsChanged && kept.Count > 0 && kept.All(k => conditions.Of(k.Result).Hash(k.RowsHash).AsSpan().SequenceEqual(k.InputHash)))
            return (kept, [], []);

        decoded ??= decoder.Decode(hour, stores.Archive.ReadHour(hour).Used);
        var shared = stores.Claims.Shared(hour, (int)(FringeAssembler.SameExposureS / 3600) + 1);
        var others = shared.Select(s => s.OtherHour).Distinct()
            .SelectMany(h => decoder.Decode(h, stores.Archive.ReadHour(h).Used).Rows)
            .Where(r => shared.Any(s => s.Exposure == r.Row.Exposure && s.Kind == r.Row.Kind));
        var (frames, conflicts) = FringeAssembler.Assemble(decoded.Rows.Concat(others), instrument);

        var own = frames.Where(f => OwnerHour(f) == hour).ToArray();
        var known = kept.ToDictionary(k => Convert.ToHexString(k.InputHash));
        var results = new StoredFringe[own.Length];
        Parallel.For(0, own.Length, new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount }, i =>
        {
            var condition = conditions.Of(own[i].Frame);
            var rows = RowsDigest.OfRows(own[i]);
            var input = condition.Hash(rows);
            results[i] = known.TryGetValue(Convert.ToHexString(input), out var same) ? same : Make(own[i], condition, rows, input, hour, mission);
        });
        // An exposure that belongs to another hour is that hour's to store: mark it unless it has it so already.
        var elsewhere = frames.GroupBy(OwnerHour).Where(g => g.Key != hour && !HasAll(g.Key, g)).Select(g => g.Key).ToArray();
        return (results, conflicts, elsewhere);
    }

    // Whether an hour's results were made from just these rows.
    private bool HasAll(long hour, IEnumerable<AssembledFrame> frames)
    {
        var made = stores.Fringes.OfHour(hour).Select(k => Convert.ToHexString(k.RowsHash)).ToHashSet();
        return frames.All(f => made.Contains(Convert.ToHexString(RowsDigest.OfRows(f))));
    }

    private StoredFringe Make(AssembledFrame assembled, RetrievalCondition condition, byte[] rows, byte[] input, long hour, MissionState mission)
    {
        var frame = assembled.Frame;
        var retrieval = RetrievalOf(condition.Coefficients, frame.View, frame.Line, mission);
        return new StoredFringe
        {
            Hour = hour,
            Result = retrieval.Retrieve(frame, condition.DetectorC, condition.MotionMs, condition.PredictedShift),
            Orbit = mission.Orbits.At(frame.Time)?.Number,
            RowsHash = rows,
            InputHash = input,
            CoefficientSet = condition.Coefficients.SetId,
            EphemerisFile = condition.EphemerisFile,
            SoftwareVersion = SoftwareVersion.Current,
        };
    }

    private FringeRetrieval RetrievalOf(CoefficientsInForce coefficients, string view, string line, MissionState mission)
    {
        lock (retrievals)
        {
            if (!retrievals.TryGetValue((coefficients.SetId, view, line), out var retrieval))
                retrievals.Add((coefficients.SetId, view, line), retrieval = new FringeRetrieval(mission.Instrument!, coefficients.Set, view, line));
            return retrieval;
        }
    }

    private static long OwnerHour(AssembledFrame frame) => frame.Rows.Min(r => Hour.Of(r.Packet.Time));

    private static string Reason(RowConflict conflict) =>
        $"Another packet claims row {conflict.Loser.Row.Row} of {conflict.Loser.Row.Kind.ToString().ToLowerInvariant()} exposure {conflict.Loser.Row.Exposure}, view {conflict.Loser.Row.View}, "
        + $"{conflict.Loser.Row.Line}, with different bytes and a smaller SHA-256; that one is used.";
}
