using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>Residuals of one orbit and measure with both sets.</summary>
internal sealed record ResidualPair(int Orbit, Instant Time, bool HeldOut, OrbitResidual Before, OrbitResidual After)
{
    /// <summary>Orbits together; null for none. σ of the ratio by leaving one orbit out at a time: exposures of an orbit share its course.</summary>
    public static ResidualFigures? Figures(IReadOnlyList<ResidualPair> pairs)
    {
        if (pairs.Count == 0) return null;
        var (before, after) = (Sum(pairs.Select(p => p.Before)), Sum(pairs.Select(p => p.After)));
        return new(pairs.Count, after.Points, before.Rms, after.Rms, before.Sum / before.Points, after.Sum / after.Points, RatioSigma(pairs, before, after));
    }

    private static OrbitResidual Sum(IEnumerable<OrbitResidual> residuals) =>
        residuals.Aggregate((a, b) => a with { Points = a.Points + b.Points, Sum = a.Sum + b.Sum, Squares = a.Squares + b.Squares });

    private static double RatioSigma(IReadOnlyList<ResidualPair> pairs, OrbitResidual before, OrbitResidual after)
    {
        if (pairs.Count < 2 || !(before.Squares > 0)) return double.NaN;
        static double Rms(OrbitResidual all, OrbitResidual one) => Math.Sqrt(Math.Max(0, all.Squares - one.Squares) / (all.Points - one.Points));
        double[] ratios = [.. pairs.Select(p => Rms(after, p.After) / Rms(before, p.Before))];
        var mean = ratios.Average();
        return Math.Sqrt((pairs.Count - 1.0) / pairs.Count * ratios.Sum(r => (r - mean) * (r - mean)));
    }
}
