namespace Phasekeeper.Core.Comparison;

/// <summary>A straight line y = a + b·x through points with errors in both.</summary>
/// <param name="Intercept">a.</param>
/// <param name="Slope">b.</param>
/// <param name="InterceptSigma">1σ of a from the points' stated errors.</param>
/// <param name="SlopeSigma">1σ of b from the points' stated errors.</param>
/// <param name="ReducedChiSquare">S/(n − 2): near 1 where the stated errors explain the scatter.</param>
public readonly record struct YorkLine(double Intercept, double Slope, double InterceptSigma, double SlopeSigma, double ReducedChiSquare);

/// <summary>
/// Best straight line with independent errors of both coordinates: D. York, N. M. Evensen, M. L. Martínez, J. De Basabe Delgado (2004), Am. J. Phys. 72, 367, doi 10.1119/1.1632486 (iteration and 1σ of
/// section III, without correlation). Swapping x and y gives the same line, which ordinary regression does not.
/// </summary>
public static class YorkRegression
{
    private const int MostSteps = 200;
    private const double SmallestSigma = 1e-6; // an exact coordinate, as a number that can be divided by

    /// <summary>Fits; null for fewer than three points, no spread, or no convergence.</summary>
    public static YorkLine? TryFit(IReadOnlyList<double> x, IReadOnlyList<double> y, IReadOnlyList<double> sigmaX, IReadOnlyList<double> sigmaY)
    {
        var n = x.Count;
        if (n < 3) return null;
        double[] wx = [.. sigmaX.Select(Weight)], wy = [.. sigmaY.Select(Weight)];
        if (Start(x, y) is not { } b) return null;
        var w = new double[n];
        var beta = new double[n];
        double xBar = 0, yBar = 0;
        for (var step = 0; step < MostSteps; step++)
        {
            double sumW = 0, sumX = 0, sumY = 0;
            for (var i = 0; i < n; i++)
            {
                w[i] = wx[i] * wy[i] / (wx[i] + b * b * wy[i]);
                sumW += w[i];
                sumX += w[i] * x[i];
                sumY += w[i] * y[i];
            }
            (xBar, yBar) = (sumX / sumW, sumY / sumW);
            double top = 0, bottom = 0;
            for (var i = 0; i < n; i++)
            {
                double u = x[i] - xBar, v = y[i] - yBar;
                beta[i] = w[i] * (u / wy[i] + b * v / wx[i]);
                top += w[i] * beta[i] * v;
                bottom += w[i] * beta[i] * u;
            }
            var next = top / bottom;
            if (!double.IsFinite(next)) return null;
            var done = Math.Abs(next - b) <= 1e-14 * Math.Max(1, Math.Abs(next));
            b = next;
            if (done) break;
            if (step == MostSteps - 1) return null;
        }
        var a = yBar - b * xBar;
        double total = 0, adjusted = 0, spread = 0, s = 0;
        for (var i = 0; i < n; i++)
        {
            total += w[i];
            adjusted += w[i] * (xBar + beta[i]);
            s += w[i] * (y[i] - a - b * x[i]) * (y[i] - a - b * x[i]);
        }
        adjusted /= total;
        for (var i = 0; i < n; i++) spread += w[i] * (xBar + beta[i] - adjusted) * (xBar + beta[i] - adjusted);
        var slopeVariance = 1 / spread;
        return new(a, b, Math.Sqrt(1 / total + adjusted * adjusted * slopeVariance), Math.Sqrt(slopeVariance), s / (n - 2));
    }

    private static double Weight(double sigma) => 1 / Math.Max(sigma * sigma, SmallestSigma * SmallestSigma);

    // The reduced major axis: a start between both ordinary regressions.
    private static double? Start(IReadOnlyList<double> x, IReadOnlyList<double> y)
    {
        double xMean = x.Average(), yMean = y.Average(), xx = 0, yy = 0, xy = 0;
        for (var i = 0; i < x.Count; i++)
        {
            xx += (x[i] - xMean) * (x[i] - xMean);
            yy += (y[i] - yMean) * (y[i] - yMean);
            xy += (x[i] - xMean) * (y[i] - yMean);
        }
        return xx > 0 && yy > 0 ? (xy < 0 ? -1 : 1) * Math.Sqrt(yy / xx) : null;
    }
}
