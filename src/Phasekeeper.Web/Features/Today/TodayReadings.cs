using Phasekeeper.Core.Trackers;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Drift;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Today;

/// <summary>Which trackers stand for the instrument's state on the morning page, and how each is said.</summary>
public static class TodayReadings
{
    /// <summary>Trackers in the order shown.</summary>
    public static readonly IReadOnlyList<string> Shown =
        ["thermal-residual-wind", "lamp-brightness", "lamp-visibility", "scene-visibility", "image-shift-mean", "dark-rate", "spike-rate", "hot-samples"];

    /// <summary>The newest orbit's worst series of a tracker; null when no orbit has a value.</summary>
    public static TodayReading? Newest(string tracker, IReadOnlyList<TrackerRow> rows)
    {
        if (TrackerCatalog.Find(tracker)?.Info is not { } info) return null;
        var own = rows.Where(row => row.Key.Tracker == tracker && double.IsFinite(row.Value)).ToList();
        if (own.Count == 0) return null;
        var newest = own.Max(row => row.Orbit);
        var worst = own.Where(row => row.Orbit == newest).OrderByDescending(row => Rank(row.State)).ThenByDescending(Departure).First();
        var expected = double.IsFinite(worst.Expected) ? $"expected {NumberText.WithUnit(worst.Expected, info.Unit, 3)}, " : "";
        return new TodayReading(info.Title, NumberText.WithUnit(worst.Value, info.Unit, 3), $"{expected}{SeriesWords(worst.Key)}orbit {newest}", worst.State,
            "/drift?s=" + Uri.EscapeDataString(SeriesText.Write(worst.Key)));
    }

    private static string SeriesWords(SeriesKey key)
    {
        var text = string.Join(" ", new[] { key.View, key.Line, key.Channel }.Where(part => part is not null));
        return text.Length > 0 ? text + ", " : "";
    }

    private static double Departure(TrackerRow row) =>
        double.IsFinite(row.Expected) && row.Sigma > 0 ? Math.Abs(row.Value - row.Expected) / row.Sigma : Math.Abs(row.Value);

    private static int Rank(string state) => state switch { "critical" => 3, "warning" => 2, "provisional" => 1, _ => 0 };
}
