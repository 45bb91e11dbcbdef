using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Times;

/// <summary>A stretch of time that ends at mission time, as a page offers it and its address names it.</summary>
/// <param name="Word">Word in the address.</param>
/// <param name="Title">Words on the button.</param>
/// <param name="Seconds">Length, s; infinite = everything.</param>
public sealed record RangeWord(string Word, string Title, double Seconds)
{
    private const double DayS = 86_400;

    /// <summary>All, shortest first.</summary>
    public static readonly IReadOnlyList<RangeWord> All =
    [
        new("1h", "1 h", 3600), new("6h", "6 h", 6 * 3600), new("1d", "1 day", DayS), new("7d", "7 days", 7 * DayS), new("30d", "30 days", 30 * DayS),
        new("90d", "90 days", 90 * DayS), new("1y", "1 year", 365.25 * DayS), new("all", "All", double.PositiveInfinity),
    ];

    /// <summary>The range of a word; <paramref name="fallback"/> for a word that is not known.</summary>
    public static RangeWord Of(string? word, string fallback) => All.FirstOrDefault(r => r.Word == word) ?? All.First(r => r.Word == fallback);

    /// <summary>Its start when it ends at <paramref name="end"/>; the whole of the data starts where they begin.</summary>
    public Instant Start(Instant end, Instant firstData) => double.IsInfinity(Seconds) ? firstData : end.AddSeconds(-Seconds);
}
