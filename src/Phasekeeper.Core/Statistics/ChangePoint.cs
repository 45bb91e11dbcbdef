namespace Phasekeeper.Core.Statistics;

/// <summary>One change of a series' mean.</summary>
/// <param name="FirstLength">Points before the change: the change lies between index FirstLength − 1 and FirstLength.</param>
/// <param name="MeanBefore">Mean before.</param>
/// <param name="MeanAfter">Mean after.</param>
/// <param name="ResidualNoChange">Sum of squares about one mean.</param>
/// <param name="ResidualOneChange">Sum of squares about the two means.</param>
/// <param name="Low">Smallest FirstLength inside the interval that holds the change with the asked probability.</param>
/// <param name="High">Largest.</param>
/// <param name="PettittK">Pettitt's K.</param>
/// <param name="PettittPosition">FirstLength at which |U| is largest.</param>
/// <param name="PettittP">p of "no change" by Pettitt's approximation; it assumes independent values.</param>
public readonly record struct ChangePointResult(
    int FirstLength, double MeanBefore, double MeanAfter, double ResidualNoChange, double ResidualOneChange, int Low, int High,
    double PettittK, int PettittPosition, double PettittP);

/// <summary>
/// Where the mean of a series changed once. Position by least squares; its interval from the posterior over positions for normal values of
/// unknown means and variance, p(m) ∝ RSS(m)^(−(n−2)/2) / √(m(n−m)) (A. F. M. Smith (1975), Biometrika 62, 407); whether there is a change at all by
/// A. N. Pettitt (1979), Applied Statistics 28, 126, doi 10.2307/2346729, which needs no normal distribution.
/// </summary>
public static class ChangePoint
{
    /// <summary>The best single change; null for fewer than <c>2·minimum</c> values or values without spread.</summary>
    /// <param name="values">Values in time order.</param>
    /// <param name="probability">Probability held by the position's interval.</param>
    /// <param name="minimum">Smallest number of values on each side.</param>
    /// <param name="effective">n_eff/n for autocorrelated values, (1−r)/(1+r) for AR(1): widens the interval and raises p.</param>
    public static ChangePointResult? TryFind(IReadOnlyList<double> values, double probability = 0.95, int minimum = 1, double effective = 1)
    {
        var n = values.Count;
        if (n < Math.Max(4, 2 * minimum)) return null;
        var mean = Moments.Mean(values);
        double total = 0;
        foreach (var v in values) total += (v - mean) * (v - mean);
        if (!(total > 0)) return null;

        var rss = new double[n];
        double sum = 0;
        int best = -1;
        for (var m = 1; m < n; m++)
        {
            sum += values[m - 1] - mean;
            // Between-groups sum of squares with deviations from the common mean: Σ before = −Σ after.
            rss[m] = Math.Max(total - sum * sum * n / ((double)m * (n - m)), total * 1e-12);
            if (m >= minimum && n - m >= minimum && (best < 0 || rss[m] < rss[best])) best = m;
        }
        var (low, high) = Interval(rss, n, minimum, best, probability, effective);
        var (k, position) = Pettitt(values);
        var scaledN = n * effective;
        var p = Math.Min(1, 2 * Math.Exp(-6 * k * k * effective * effective / (scaledN * scaledN * scaledN + scaledN * scaledN)));
        return new(best, Moments.Mean([.. values.Take(best)]), Moments.Mean([.. values.Skip(best)]), total, rss[best], low, high, k, position, p);
    }

    private static (int Low, int High) Interval(double[] rss, int n, int minimum, int best, double probability, double effective)
    {
        var weight = new double[n];
        double sum = 0;
        for (var m = minimum; m <= n - minimum; m++)
        {
            weight[m] = Math.Exp(-(n * effective - 2) / 2 * Math.Log(rss[m] / rss[best]) - 0.5 * Math.Log((double)m * (n - m) / ((double)best * (n - best))));
            sum += weight[m];
        }
        // The most probable positions that together hold the probability; the interval spans them.
        var inside = 0.0;
        int low = best, high = best;
        foreach (var m in Enumerable.Range(minimum, n - 2 * minimum + 1).OrderByDescending(m => weight[m]).ThenBy(m => m))
        {
            if (inside >= probability * sum) break;
            inside += weight[m];
            (low, high) = (Math.Min(low, m), Math.Max(high, m));
        }
        return (low, high);
    }

    private static (double K, int Position) Pettitt(IReadOnlyList<double> values)
    {
        // Σ_j sign(x_t − x_j) = 2·rank − (n + 1), equal values sharing the mean of their ranks: whole numbers, so the sums are exact.
        var twiceRank = TwiceRanks(values);
        double u = 0, k = -1;
        var position = 0;
        for (var t = 0; t < values.Count - 1; t++)
        {
            u += twiceRank[t] - (values.Count + 1);
            if (Math.Abs(u) > k) (k, position) = (Math.Abs(u), t + 1);
        }
        return (k, position);
    }

    private static long[] TwiceRanks(IReadOnlyList<double> values)
    {
        var sorted = values.ToArray();
        var place = new int[sorted.Length];
        for (var i = 0; i < place.Length; i++) place[i] = i;
        Array.Sort(sorted, place);
        var ranks = new long[sorted.Length];
        for (int first = 0, next; first < sorted.Length; first = next)
        {
            for (next = first + 1; next < sorted.Length && sorted[next] == sorted[first];) next++;
            for (var i = first; i < next; i++) ranks[place[i]] = first + 1 + next;
        }
        return ranks;
    }
}
