namespace Phasekeeper.Core.Coefficients;

/// <summary>One wind as it was and as it is now.</summary>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="LatitudeDeg">Latitude of the tangent point, deg.</param>
/// <param name="AltitudeKm">Its altitude, km.</param>
/// <param name="BeforeMs">Wind before, m/s.</param>
/// <param name="AfterMs">Wind now, m/s.</param>
/// <param name="SigmaMs">1σ of the wind now, m/s.</param>
public readonly record struct WindChange(string View, string Line, double LatitudeDeg, double AltitudeKm, double BeforeMs, double AfterMs, double SigmaMs);

/// <summary>What winds of one group changed by, now minus before.</summary>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="From">Lower edge of the bin; NaN for all.</param>
/// <param name="To">Upper edge.</param>
/// <param name="Count">Number of winds.</param>
/// <param name="MeanMs">Mean change, m/s.</param>
/// <param name="RmsMs">Root mean square of the changes, m/s.</param>
/// <param name="LargestMs">The change furthest from zero, m/s.</param>
/// <param name="MeanSigmaMs">Root mean square of the winds' own 1σ, m/s: what a change is to be seen against.</param>
public sealed record WindChangeGroup(string View, string Line, double From, double To, int Count, double MeanMs, double RmsMs, double LargestMs, double MeanSigmaMs);

/// <summary>Groups changes of winds by view and line, and by altitude or latitude.</summary>
public static class WindChangeGroups
{
    // Chosen: about the rows' spacing, and the bins of the wind's means.
    private const double AltitudeStepKm = 20, LatitudeStepDeg = 10;

    /// <summary>Words for the ways to group.</summary>
    public const string ByView = "view", ByAltitude = "altitude", ByLatitude = "latitude";

    /// <summary>All ways.</summary>
    public static readonly IReadOnlyList<string> Ways = [ByView, ByAltitude, ByLatitude];

    /// <summary>Groups in order of view, line and bin. Changes without both winds are left out.</summary>
    public static IReadOnlyList<WindChangeGroup> Of(IEnumerable<WindChange> changes, string by)
    {
        ArgumentNullException.ThrowIfNull(changes);
        double? Bin(WindChange c) => by switch
        {
            ByAltitude => Math.Floor(c.AltitudeKm / AltitudeStepKm) * AltitudeStepKm,
            ByLatitude => Math.Floor(c.LatitudeDeg / LatitudeStepDeg) * LatitudeStepDeg,
            ByView => null,
            _ => throw new ArgumentOutOfRangeException(nameof(by), by, $"Expected one of {string.Join(", ", Ways)}."),
        };
        var step = by == ByAltitude ? AltitudeStepKm : LatitudeStepDeg;
        return [.. changes.Where(c => double.IsFinite(c.BeforeMs) && double.IsFinite(c.AfterMs)).GroupBy(c => (c.View, c.Line, Bin: Bin(c)))
            .OrderBy(g => g.Key.View, StringComparer.Ordinal).ThenBy(g => g.Key.Line, StringComparer.Ordinal).ThenBy(g => g.Key.Bin)
            .Select(g => Group(g.Key.View, g.Key.Line, g.Key.Bin, step, [.. g]))];
    }

    private static WindChangeGroup Group(string view, string line, double? bin, double step, WindChange[] changes)
    {
        double[] differences = [.. changes.Select(c => c.AfterMs - c.BeforeMs)];
        return new(view, line, bin ?? double.NaN, bin + step ?? double.NaN, changes.Length, differences.Average(), Math.Sqrt(differences.Average(d => d * d)), differences.MaxBy(Math.Abs),
            Math.Sqrt(changes.Average(c => c.SigmaMs * c.SigmaMs)));
    }
}
