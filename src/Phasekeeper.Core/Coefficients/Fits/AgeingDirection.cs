namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>Whether a changed number goes against the direction in which it has aged.</summary>
public static class AgeingDirection
{
    /// <summary>True: it has been rising and becomes smaller; false: it has been falling and becomes larger; null: neither, or no trend tells. A number or trend without view or line is about all of them.</summary>
    public static bool? Against(string number, string? view, string? line, double before, double after, IReadOnlyList<AgeingTrend> ageing)
    {
        ArgumentNullException.ThrowIfNull(ageing);
        foreach (var trend in ageing)
        {
            if (!Concerns(trend, number, view, line)) continue;
            if (trend.LowPerMonth > 0 && after < before) return true;
            if (trend.HighPerMonth < 0 && after > before) return false;
        }
        return null;
    }

    /// <summary>True when a trend is about a number.</summary>
    public static bool Concerns(AgeingTrend trend, string number, string? view, string? line)
    {
        ArgumentNullException.ThrowIfNull(trend);
        return trend.Number == number && (trend.View is null || view is null || trend.View == view) && (trend.Line is null || line is null || trend.Line == line);
    }
}
