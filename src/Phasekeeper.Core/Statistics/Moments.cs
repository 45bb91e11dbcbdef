namespace Phasekeeper.Core.Statistics;

/// <summary>Mean, standard deviation and autocorrelation by the two-pass method, which holds its digits when the values are large against their spread (NIST StRD NumAcc3 and 4).</summary>
public static class Moments
{
    /// <summary>Arithmetic mean; NaN when empty. The second pass adds the mean of the deviations, which removes the first pass's rounding.</summary>
    public static double Mean(IReadOnlyList<double> values)
    {
        if (values.Count == 0) return double.NaN;
        double sum = 0;
        for (var i = 0; i < values.Count; i++) sum += values[i];
        var first = sum / values.Count;
        double rest = 0;
        for (var i = 0; i < values.Count; i++) rest += values[i] - first;
        return first + rest / values.Count;
    }

    /// <summary>Sample standard deviation with n − 1; NaN below two values.</summary>
    public static double StandardDeviation(IReadOnlyList<double> values)
    {
        if (values.Count < 2) return double.NaN;
        var mean = Mean(values);
        double squares = 0, sum = 0;
        for (var i = 0; i < values.Count; i++)
        {
            var d = values[i] - mean;
            squares += d * d;
            sum += d;
        }
        return Math.Sqrt((squares - sum * sum / values.Count) / (values.Count - 1));
    }

    /// <summary>r1 = Σ (x_t − x̄)(x_{t+1} − x̄) / Σ (x_t − x̄)²; NaN below three values or without spread.</summary>
    public static double Lag1Autocorrelation(IReadOnlyList<double> values)
    {
        if (values.Count < 3) return double.NaN;
        var mean = Mean(values);
        double squares = 0, products = 0;
        for (var i = 0; i < values.Count; i++)
        {
            var d = values[i] - mean;
            squares += d * d;
            if (i > 0) products += d * (values[i - 1] - mean);
        }
        return squares > 0 ? products / squares : double.NaN;
    }

    /// <summary>Mean weighted by 1/σ² with its 1σ; NaN when empty.</summary>
    public static (double Mean, double Sigma) WeightedMean(IReadOnlyList<double> values, IReadOnlyList<double> sigmas)
    {
        double sum = 0, weights = 0;
        for (var i = 0; i < values.Count; i++)
        {
            var w = 1 / (sigmas[i] * sigmas[i]);
            sum += w * values[i];
            weights += w;
        }
        return values.Count == 0 ? (double.NaN, double.NaN) : (sum / weights, 1 / Math.Sqrt(weights));
    }
}
