namespace Phasekeeper.Core.Winds;

/// <summary>
/// Second derivatives of the natural cubic spline as a linear function of its values: <c>m = T·w</c>. Between knots the spline is
/// <c>(1−f)·w_j + f·w_{j+1} + [((1−f)³ − (1−f))·m_j + (f³ − f)·m_{j+1}]·h²/6</c>. de Boor, A Practical Guide to Splines (2001), chapter IV.
/// </summary>
internal static class NaturalSpline
{
    /// <summary>T, row-major n × n, for knots in ascending order.</summary>
    public static double[] SecondDerivatives(ReadOnlySpan<double> knots)
    {
        var n = knots.Length;
        var t = new double[n * n];
        // Tridiagonal system for the inner knots, solved for every unit vector at once.
        var diagonal = new double[n];
        for (var i = 1; i < n - 1; i++)
        {
            double below = knots[i] - knots[i - 1], above = knots[i + 1] - knots[i];
            t[i * n + i - 1] = 6 / below;
            t[i * n + i] = -6 / below - 6 / above;
            t[i * n + i + 1] = 6 / above;
            diagonal[i] = 2 * (below + above);
            if (i == 1) continue;
            var factor = below / diagonal[i - 1];
            diagonal[i] -= factor * below;
            for (var k = 0; k < n; k++) t[i * n + k] -= factor * t[(i - 1) * n + k];
        }
        for (var i = n - 2; i >= 1; i--)
            for (var k = 0; k < n; k++)
                t[i * n + k] = (t[i * n + k] - (i == n - 2 ? 0 : (knots[i + 1] - knots[i]) * t[(i + 1) * n + k])) / diagonal[i];
        return t;
    }
}
