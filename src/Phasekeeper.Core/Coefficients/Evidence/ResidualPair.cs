using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>Residuals of one orbit and measure with both sets; null where a set leaves nothing to measure.</summary>
internal sealed record ResidualPair(int Orbit, Instant Time, OrbitUse Use, OrbitResidual? Before, OrbitResidual? After)
{
    /// <summary>What it is about.</summary>
    public (string Measure, string? View, string? Line) Key => (Before ?? After)!.Value.Key;

    /// <summary>Unit.</summary>
    public string Unit => (Before ?? After)!.Value.Unit;

    /// <summary>
    /// Orbits together; null for none. Root mean squares are over orbits where both sets have the measure, counts over all. σ of the ratio by leaving one orbit out at a time: exposures of an orbit share their course.
    /// </summary>
    public static ResidualFigures? Figures(IReadOnlyList<ResidualPair> all)
    {
        if (all.Count == 0) return null;
        (OrbitResidual Before, OrbitResidual After)[] pairs = [.. all.Where(p => p is { Before: not null, After: not null }).Select(p => (p.Before!.Value, p.After!.Value))];
        var worst = all.MaxBy(p => p.Lost)!;
        var counts = (Before: all.Sum(p => p.Before?.Measured ?? 0), After: all.Sum(p => p.After?.Measured ?? 0), Lost: all.Sum(p => p.Lost));
        if (pairs.Length == 0) return Counted(new(0, 0, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN), counts, worst);
        var (before, after) = (Sum(pairs.Select(p => p.Before)), Sum(pairs.Select(p => p.After)));
        return Counted(new(pairs.Length, after.Points, before.Rms, after.Rms, before.Sum / before.Points, after.Sum / after.Points, RatioSigma(pairs, before, after)), counts, worst);
    }

    // Never made up by what another orbit gains.
    private int Lost => Math.Max(0, (Before?.Measured ?? 0) - (After?.Measured ?? 0));

    private static ResidualFigures Counted(ResidualFigures figures, (int Before, int After, int Lost) counts, ResidualPair worst) =>
        figures with { MeasuredBefore = counts.Before, MeasuredAfter = counts.After, Lost = counts.Lost, MostLostOrbit = counts.Lost > 0 ? worst.Orbit : null };

    private static OrbitResidual Sum(IEnumerable<OrbitResidual> residuals) =>
        residuals.Aggregate((a, b) => a with { Points = a.Points + b.Points, Sum = a.Sum + b.Sum, Squares = a.Squares + b.Squares });

    private static double RatioSigma(IReadOnlyList<(OrbitResidual Before, OrbitResidual After)> pairs, OrbitResidual before, OrbitResidual after)
    {
        if (pairs.Count < 2 || !(before.Squares > 0)) return double.NaN;
        static double Rms(OrbitResidual all, OrbitResidual one) => Math.Sqrt(Math.Max(0, all.Squares - one.Squares) / (all.Points - one.Points));
        double[] ratios = [.. pairs.Select(p => Rms(after, p.After) / Rms(before, p.Before))];
        var mean = ratios.Average();
        return Math.Sqrt((pairs.Count - 1.0) / pairs.Count * ratios.Sum(r => (r - mean) * (r - mean)));
    }
}
