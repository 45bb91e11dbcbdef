using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>What the first orbits of a series say of its usual behaviour.</summary>
/// <param name="Centre">Median.</param>
/// <param name="Spread">Scatter beyond the values' own σ, widened for the number of orbits that it was estimated from.</param>
/// <param name="Autocorrelation">Lag-1 autocorrelation, shrunk and corrected, 0…0.95.</param>
/// <param name="TypicalSigma">Median of the values' σ.</param>
/// <param name="Orbits">Number of orbits behind it.</param>
public sealed record SeriesBaseline(double Centre, double Spread, double Autocorrelation, double TypicalSigma, int Orbits)
{
    private const double PriorAutocorrelation = 0.3;
    private const double PriorWeight = 20; // orbits

    /// <summary>Baseline of some orbits.</summary>
    /// <param name="first">The values and their σ (NaN = none), in orbit order.</param>
    /// <param name="leastSpread">Smallest spread to return.</param>
    /// <param name="moving">True when values are charted against the 15 orbits before: then only the scatter about that moving centre counts.</param>
    public static SeriesBaseline Of(ReadOnlySpan<(double Value, double Sigma)> first, double leastSpread, bool moving)
    {
        var n = first.Length;
        double[] values = new double[n], sigmas = new double[n];
        for (var i = 0; i < n; i++) (values[i], sigmas[i]) = (first[i].Value, double.IsNaN(first[i].Sigma) ? 0 : first[i].Sigma);
        var centre = RobustStatistics.Median(values);
        var typical = RobustStatistics.Median(sigmas);
        double[] deviations = moving && n > SeriesStatistics.LeastBaselineOrbits
            ? [.. Enumerable.Range(SeriesStatistics.LeastBaselineOrbits, n - SeriesStatistics.LeastBaselineOrbits)
                .Select(i => values[i] - RobustStatistics.Median(values[Math.Max(0, i - OrbitInput.RecentOrbits)..i]))]
            : [.. values.Select(v => v - centre)];
        var m = deviations.Length;
        var scatter = RobustStatistics.MadToSigma * RobustStatistics.Mad(deviations, 0);
        var r = Autocorrelation1(deviations, scatter);
        // A MAD of m values has a relative σ of 1.17/√m, more with autocorrelation: the spread is taken one such σ wider, so that an
        // unlucky baseline does not raise false signals for the rest of the series.
        scatter *= 1 + 1.17 * Math.Sqrt(ChartDesign.RunFactor(r) / m);
        return new(centre, Math.Sqrt(Math.Max(scatter * scatter - typical * typical, leastSpread * leastSpread)), r, typical, n);
    }

    private static double Autocorrelation1(double[] deviations, double scatter)
    {
        var m = deviations.Length;
        // Clipped: one wild orbit must not decide.
        double[] clipped = scatter > 0 ? [.. deviations.Select(d => Math.Clamp(d, -3 * scatter, 3 * scatter))] : deviations;
        var r = Moments.Lag1Autocorrelation(clipped);
        if (double.IsNaN(r)) return PriorAutocorrelation;
        // r of m values is low by about (1 + 4r)/m (M. G. Kendall (1954), Biometrika 41, 403); one σ, √((1 − r²)/m), is added for caution.
        r += (1 + 4 * r) / m + Math.Sqrt(Math.Max(0, 1 - r * r) / m);
        return Math.Clamp((m * r + PriorWeight * PriorAutocorrelation) / (m + PriorWeight), 0, 0.95);
    }
}
