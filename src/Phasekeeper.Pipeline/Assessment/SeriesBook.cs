using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>
/// Statistics of all tracker series as the store has them now: run forward from the start of each reference, which is the validity of the coefficient set.
/// Read once a run of the assessment.
/// </summary>
public sealed class SeriesBook
{
    private readonly Dictionary<SeriesKey, (SeriesHistory History, IReadOnlyList<TrackerStatistic> Statistics)> series = [];

    /// <summary>Reads all series of known trackers and computes their statistics.</summary>
    public static SeriesBook Read(Stores stores, MissionState mission)
    {
        var book = new SeriesBook();
        foreach (var key in stores.Trackers.Series())
            if (TrackerCatalog.Find(key.Tracker) is { } tracker) book.Add(key, tracker, stores.Trackers.Values(key), mission);
        return book;
    }

    /// <summary>All series.</summary>
    public IEnumerable<SeriesHistory> All => series.Values.Select(s => s.History);

    /// <summary>What the statistics say of the values of a series that the store has otherwise; empty when nothing changed.</summary>
    public IEnumerable<(SeriesKey Key, IReadOnlyList<TrackerStatistic> Changed)> Changes(Stores stores)
    {
        foreach (var (key, entry) in series)
        {
            var stored = stores.Trackers.Values(key).ToDictionary(r => r.Orbit);
            var changed = entry.Statistics.Where(s => !stored.TryGetValue(s.Orbit, out var row) || !Same(row, s)).ToArray();
            if (changed.Length > 0) yield return (key, changed);
        }
    }

    private void Add(SeriesKey key, ITracker tracker, IReadOnlyList<TrackerRow> rows, MissionState mission)
    {
        var points = new List<SeriesPoint>();
        var statistics = new List<TrackerStatistic>();
        // A new set is a new reference: the charts start again at its validity.
        foreach (var part in rows.Where(r => double.IsFinite(r.Value)).GroupBy(r => mission.Coefficients.At(r.Time)?.SetId ?? 0))
        {
            var set = mission.Coefficients.Entries.FirstOrDefault(e => e.SetId == part.Key)?.Set;
            var result = SeriesStatistics.Run(tracker, [.. part.Select(r => r.ToValue())], set);
            foreach (var p in result.Points)
            {
                statistics.Add(new(p.Value.Orbit, p.Expected, p.Ewma, p.CusumHigh, p.CusumLow, p.State.ToString().ToLowerInvariant()));
                points.Add(new SeriesPoint
                {
                    Orbit = p.Value.Orbit,
                    Time = p.Value.Time,
                    Value = p.Value.Value,
                    Sigma = p.Value.Sigma,
                    N = p.Value.N,
                    Expected = p.Expected,
                    ReferenceSigma = double.IsNaN(result.Spread) ? double.NaN : double.IsNaN(p.Value.Sigma) ? result.Spread : Math.Sqrt(result.Spread * result.Spread + p.Value.Sigma * p.Value.Sigma),
                    Ewma = p.Ewma,
                    EwmaSigma = (p.EwmaHigh - p.EwmaLow) / (2 * result.Design.EwmaLimit),
                    CusumHigh = p.CusumHigh,
                    CusumLow = p.CusumLow,
                    Provisional = p.State == TrackerState.Provisional || p.Value.Provisional,
                });
            }
        }
        series.Add(key, (new SeriesHistory(key, tracker.Info.Unit, points), statistics));
    }

    private static bool Same(TrackerRow row, TrackerStatistic s) =>
        row.State == s.State && Bits(row.Expected, s.Expected) && Bits(row.Ewma, s.Ewma) && Bits(row.CusumHigh, s.CusumHigh) && Bits(row.CusumLow, s.CusumLow);

    private static bool Bits(double a, double b) => a.Equals(b);
}
