using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Thermal;

/// <summary>
/// Finds steps in a slowly varying series: at each place a straight line plus a step is fitted to the points within a short window on both sides; the most
/// significant step above the limits is accepted, the series is cut there, and each part is searched again. The significance needed is far beyond chance (7σ of
/// the scatter found), and the step must be large enough to matter.
/// </summary>
public static class StepFinder
{
    /// <summary>Smallest step, samples (chosen: 0.01 samples are about 12 mrad or 7 m/s at 57 to 85 fringe cycles in 256 samples).</summary>
    public const double LeastStepSamples = 0.01;

    /// <summary>Significance of a step, σ.</summary>
    public const double Significance = 7;

    private const int LeastPoints = 4;

    /// <summary>Indices of the first point after each step, ascending.</summary>
    /// <param name="t">Times, s, ascending.</param>
    /// <param name="y">Values.</param>
    /// <param name="sigma">1σ of each.</param>
    /// <param name="windowS">Reach of the comparison on each side, s.</param>
    public static IReadOnlyList<int> Find(double[] t, double[] y, double[] sigma, double windowS)
    {
        var cuts = new SortedSet<int>();
        Search(0, t.Length);
        return [.. cuts];

        void Search(int first, int end)
        {
            (double Score, int Cut) best = (Significance, -1);
            for (var cut = first + LeastPoints; cut <= end - LeastPoints; cut++)
            {
                var score = Score(t, y, sigma, first, end, cut, windowS);
                if (score > best.Score) best = (score, cut);
            }
            if (best.Cut < 0) return;
            cuts.Add(best.Cut);
            Search(first, best.Cut);
            Search(best.Cut, end);
        }
    }

    private static double Score(double[] t, double[] y, double[] sigma, int first, int end, int cut, double windowS)
    {
        var edge = 0.5 * (t[cut - 1] + t[cut]);
        int low = cut, high = cut;
        while (low > first && edge - t[low - 1] <= windowS) low--;
        while (high < end && t[high] - edge <= windowS) high++;
        if (cut - low < LeastPoints || high - cut < LeastPoints) return 0;
        // Normal equations of [1, t, step], with t scaled to the window.
        var n = high - low;
        var design = new double[n][];
        for (var i = 0; i < n; i++) design[i] = [1, (t[low + i] - edge) / windowS, low + i >= cut ? 1 : 0];
        if (LinearLeastSquares.TryFit(design, y[low..high], sigma[low..high]) is not { } fit) return 0;
        if (Math.Abs(fit.Estimate[2]) < LeastStepSamples) return 0;
        var scatter = Math.Sqrt(Math.Max(1, fit.ResidualSumOfSquares / fit.DegreesOfFreedom));
        return Math.Abs(fit.Estimate[2]) / (fit.Sigma(2) * scatter);
    }
}
