using System.Data;
using System.Globalization;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>
/// Brings the stored statistics of all tracker series in line with their values: each series goes on from its newest state, so only what changed, and what comes
/// after it, is charted.
/// </summary>
public sealed class ChartKeeper(Stores stores)
{
    private const string BasisKey = "chart-basis";
    // Chosen: some MB; a first run over years is not held in memory as a whole.
    private const int PointsPerCommit = 50_000;
    // Chosen: four days of 15 orbits; a downlink that comes later than that runs from a state that is kept for good.
    private const int StatesBehind = 64;

    /// <summary>Charts what is to be charted. Orbits on which the statistics changed are marked to be assessed, in the same transaction.</summary>
    public async Task UpdateAsync(CoefficientTimeline coefficients, Instant now, CancellationToken cancel)
    {
        await ForgetOtherBasisAsync(coefficients, cancel).ConfigureAwait(false);
        var done = new List<Update>();
        foreach (var start in stores.Charts.Starts())
        {
            if (TrackerCatalog.Find(start.Key.Tracker) is not { } tracker) continue;
            var rows = stores.Charts.ValuesAfter(start);
            if (rows.Count == 0) continue;
            done.Add(Run(start, tracker, rows, coefficients));
            if (done.Sum(u => u.Points) < PointsPerCommit) continue;
            await WriteAsync(done, now, cancel).ConfigureAwait(false);
            done.Clear();
        }
        await WriteAsync(done, now, cancel).ConfigureAwait(false);
    }

    private static Update Run(ChartStart start, ITracker tracker, IReadOnlyList<TrackerRow> rows, CoefficientTimeline coefficients)
    {
        var points = SeriesRun.Continue(tracker, rows.Select(r => r.ToValue()), coefficients, start.AfterOrbit, start.State, out var states);
        var changed = points.Select(Statistic).Where((s, i) => !Same(rows[i], s)).ToArray();
        var last = rows[^1].Orbit;
        return new(start.Series, start.Key, points.Count, changed, [.. states.Where(s => s.ForGood || s.Orbit >= last - StatesBehind)], last - StatesBehind);
    }

    private Task WriteAsync(List<Update> updates, Instant now, CancellationToken cancel)
    {
        if (updates.All(u => u.Changed.Count == 0 && u.States.Count == 0)) return Task.CompletedTask;
        var orbits = updates.SelectMany(u => u.Changed).Select(s => (long)s.Orbit).Distinct().Order().ToArray();
        return stores.Database.WriteAsync(t =>
        {
            foreach (var update in updates) Write(t, update);
            WorkQueue.Mark(t, WorkKinds.Assess, orbits, now);
        }, cancel);
    }

    private static void Write(IDbTransaction transaction, Update update)
    {
        if (update.Changed.Count > 0) TrackerStore.SetStatistics(transaction, update.Key, update.Changed);
        if (update.States.Count == 0) return;
        foreach (var state in update.States) ChartStore.Put(transaction, update.Series, state.Orbit, state.ForGood, state.State);
        ChartStore.Thin(transaction, update.Series, update.Oldest);
    }

    /// <summary>What is kept of a charted value.</summary>
    internal static TrackerStatistic Statistic(ChartedValue p) => new(p.Value.Orbit, p.Expected, p.Ewma,
        (p.EwmaHigh - p.EwmaLow) / (2 * ChartDesign.Default.EwmaLimit), p.Value.Value, p.CusumHigh, p.CusumLow, p.State.ToString().ToLowerInvariant());

    private static bool Same(TrackerRow row, TrackerStatistic s) => row.State == s.State && row.Expected.Equals(s.Expected) && row.Ewma.Equals(s.Ewma)
        && row.EwmaSigma.Equals(s.EwmaSigma) && row.Charted.Equals(s.Charted) && row.CusumHigh.Equals(s.CusumHigh) && row.CusumLow.Equals(s.CusumLow);

    // States know nothing of the coefficient sets that they were made with: where these are others than last time, they go.
    private async Task ForgetOtherBasisAsync(CoefficientTimeline coefficients, CancellationToken cancel)
    {
        string[] now = [$"{ChartStateCodec.Version} {SoftwareVersion.Current}", .. coefficients.Entries
            .Select(e => string.Create(CultureInfo.InvariantCulture, $"{e.From.TaiNanoseconds} {Convert.ToHexStringLower(e.Hash)}"))];
        var before = stores.Settings.Get(BasisKey)?.Split('\n') ?? [];
        if (before.SequenceEqual(now)) return;
        var same = now.Zip(before).TakeWhile(p => p.First == p.Second).Count();
        // The first entries that differ say from when; another program, or another first set, from the beginning.
        var from = same == 0 ? Instant.MinValue : before.Concat(now).Except(now.Take(same)).Select(e => new Instant(long.Parse(e.Split(' ')[0], CultureInfo.InvariantCulture))).Min();
        var orbit = from == Instant.MinValue ? int.MinValue : stores.Orbits.FirstEndingAfter(from) ?? int.MaxValue;
        await stores.Database.WriteAsync(t =>
        {
            ChartStore.Forget(t, orbit);
            SettingStore.Set(t, BasisKey, string.Join('\n', now));
        }, cancel).ConfigureAwait(false);
    }

    private sealed record Update(long Series, SeriesKey Key, int Points, IReadOnlyList<TrackerStatistic> Changed, IReadOnlyList<KeptState> States, int Oldest);
}
