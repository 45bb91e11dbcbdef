using Phasekeeper.Core.Coefficients.Fits;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>
/// What no residual can judge of a change, so that "the same" is not read as "as good". Zero wind, the distortion's constant and the lamp ratio of one line show in the differences of the lines; what both lines share only moves
/// what scenes leave, and stands here.
/// </summary>
public static class Unmeasured
{
    // Chosen: 0.1 mrad of one row against the others are 0.05 m/s.
    private const double LeastRowRad = 1e-4;

    /// <summary>Warnings in a fixed order; empty where every number that changes is seen.</summary>
    /// <param name="before">Set in force.</param>
    /// <param name="after">Proposed set.</param>
    /// <param name="followed">Views and lines whose zero-wind phases go along with a new lamp reference, so that no wind changes.</param>
    public static IEnumerable<FitWarning> Of(CoefficientSet before, CoefficientSet after, IReadOnlySet<(string View, string Line)> followed)
    {
        ArgumentNullException.ThrowIfNull(after);
        ArgumentNullException.ThrowIfNull(followed);
        var changed = CoefficientDifferences.Between(before, after);
        bool Has(string number) => changed.Any(d => d.Number == number);
        // A lamp reference takes all rows along by the same: what is left of Z then is rounding, or a zero wind that was fitted besides.
        var zero = changed.Where(d => d.Number == "optics.zeroWindRad" && !followed.Contains((d.View!, d.Line!))).GroupBy(d => (d.View!, d.Line!)).ToArray();
        if (zero.Length > 0)
            yield return new(FitWarningCodes.NotMeasured, "The zero-wind phases change. A shift of one line shows in the difference of the lines; one that both lines share only moves the scene phase, which holds the orbits' mean wind (up to tens of m/s) and so does not tell whether that is better, and a constant yaw error looks the same (0.01° is about 0.9 m/s).");
        foreach (var rows in zero.Where(g => Spread(before, after, g.Key) > LeastRowRad))
            yield return new(FitWarningCodes.NotMeasured, "The zero-wind phases of the rows change by different amounts: residuals see their mean over the rows, not one row against another.", rows.Key.Item1, rows.Key.Item2);
        if (Has("optics.distortionRad"))
            yield return new(FitWarningCodes.NotMeasured, "The phase distortion changes: residuals see its mean, as they see the zero wind; whether its shape along a row and from row to row became better is not measured.");
        if (Has("optics.lampRatio"))
        {
            yield return new(FitWarningCodes.NotMeasured, "The lamp's residuals scale with the lamp ratio: a smaller one makes them smaller, and no better.");
            yield return new(FitWarningCodes.NotMeasured, "A lamp ratio that is off in one line shows in how the lines' difference of winds follows the temperature; one that is off by the same share in both only moves how scenes follow it, beside the winds' own change from day to night, so whether it became better is not measured.");
        }
        string[] blind = [.. new[] { "optics.flat", "optics.envelope" }.Where(Has)];
        if (blind.Length > 0)
            yield return new(FitWarningCodes.NotMeasured, $"No residual tells whether {string.Join(" and ", blind)} became better: visibilities and winds only show that they changed.");
    }

    private static double Spread(CoefficientSet before, CoefficientSet after, (string View, string Line) of)
    {
        if (before.OpticsOf(of.View, of.Line)?.ZeroWindRad is not { } was || after.OpticsOf(of.View, of.Line)?.ZeroWindRad is not { } now || was.Length != now.Length) return double.PositiveInfinity;
        double[] moved = [.. now.Zip(was, (a, b) => a - b)];
        return moved.Max() - moved.Min();
    }
}
