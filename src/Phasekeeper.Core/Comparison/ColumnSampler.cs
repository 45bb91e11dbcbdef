namespace Phasekeeper.Core.Comparison;

/// <summary>An independent column brought to one of our altitudes: weights of its winds.</summary>
internal readonly record struct SampledColumn(double EastwardMs, double NorthwardMs, double EastwardSigmaMs, double NorthwardSigmaMs, double GapKm);

/// <summary>Brings independent columns to our altitudes. Errors of one column are taken as common to its altitudes, so they add up as they are.</summary>
internal static class ColumnSampler
{
    // Between two winds further apart than this the column says nothing.
    private const double LargestStepKm = 10;

    /// <summary>Linear between the two altitudes around ours, or the nearest one; null when the nearest is further than <paramref name="gapKm"/>.</summary>
    public static SampledColumn? At(WindColumn column, double altitudeKm, double gapKm)
    {
        var winds = column.Winds;
        var above = 0;
        while (above < winds.Count && winds[above].AltitudeKm < altitudeKm) above++;
        var nearest = above == 0 ? 0 : above == winds.Count ? above - 1
            : altitudeKm - winds[above - 1].AltitudeKm <= winds[above].AltitudeKm - altitudeKm ? above - 1 : above;
        var gap = Math.Abs(winds[nearest].AltitudeKm - altitudeKm);
        if (gap > gapKm) return null;
        if (above == 0 || above == winds.Count || winds[above].AltitudeKm - winds[above - 1].AltitudeKm > LargestStepKm)
        {
            var n = winds[nearest];
            return new(n.EastwardMs, n.NorthwardMs, n.EastwardSigmaMs, n.NorthwardSigmaMs, gap);
        }
        var (a, b) = (winds[above - 1], winds[above]);
        var share = (altitudeKm - a.AltitudeKm) / (b.AltitudeKm - a.AltitudeKm);
        double Mix(double x, double y) => (1 - share) * x + share * y;
        return new(Mix(a.EastwardMs, b.EastwardMs), Mix(a.NorthwardMs, b.NorthwardMs), Mix(a.EastwardSigmaMs, b.EastwardSigmaMs), Mix(a.NorthwardSigmaMs, b.NorthwardSigmaMs), gap);
    }
}
