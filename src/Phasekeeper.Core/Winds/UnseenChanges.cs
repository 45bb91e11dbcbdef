using System.Runtime.Intrinsics;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// What one exposure cannot see does to its rows: changes along the ray at each height, and what the wind does between heights beyond the spline. Angles are small, so the
/// weights ε·ℓ of the model's last pass suffice. Matrices: rows × heights (the last: rows × layers).
/// </summary>
internal sealed class UnseenChanges
{
    private readonly int _n, _layers;
    private readonly double[] _wind, _windCurvature, _between;
    private readonly double[] _emission, _emissionBend, _emissionThird, _amplitude, _amplitudeBend, _amplitudeThird; // by the derivatives of ln ε

    public UnseenChanges(LimbPaths paths, ReadOnlySpan<double> source, double[] offsetMm, double[] wind, double kappa)
    {
        (_n, _layers) = (paths.Count, paths.Count - 1);
        (_wind, _windCurvature, _between) = (new double[_n * _n], new double[_n * _n], new double[_n * _layers]);
        (_emission, _emissionBend, _emissionThird) = (new double[_n * _n], new double[_n * _n], new double[_n * _n]);
        (_amplitude, _amplitudeBend, _amplitudeThird) = (new double[_n * _n], new double[_n * _n], new double[_n * _n]);
        for (var r = 0; r < _n; r++)
        {
            double sum = 0, moving = 0;
            for (var q = paths.Start[r]; q < paths.Start[r + 1]; q++)
            {
                sum += source[q];
                moving += source[q] * Speed(paths, wind, q);
            }
            var mean = moving / sum;
            for (var piece = paths.RowPiece[r]; piece < paths.RowPiece[r + 1]; piece++) AddPiece(paths, source, offsetMm, wind, piece, r, -kappa / sum, mean);
        }
    }

    // Points of a piece lie between the same heights: of each sum, what belongs to the upper height, and all of it.
    private void AddPiece(LimbPaths paths, ReadOnlySpan<double> source, double[] offsetMm, double[] wind, int piece, int r, double phasePerSource, double mean)
    {
        double between = 0;
        Vector256<double> changes = default, changesUp = default, fading = default, fadingUp = default;
        var first = paths.PieceStart[piece];
        for (var q = first; q < paths.PieceStart[piece + 1]; q++)
        {
            double c = source[q], f = paths.Share[q], p = paths.Projection[q], faster = Speed(paths, wind, q) - mean;
            // Light times x, x²/2 and x³/6, as far as it does not cancel between the places before and after the tangent point.
            double one = c * offsetMm[q], two = 0.5 * c * paths.SquareMm2[q], three = one * paths.SquareMm2[q] / 6;
            Vector256<double> ofChanges = Vector256.Create(p * one, 2 * p * two, faster * one, faster * two), ofFading = Vector256.Create(faster * three, one, two, three);
            changes += ofChanges;
            changesUp += f * ofChanges;
            fading += ofFading;
            fadingUp += f * ofFading;
            between += p * c * f * (1 - f);
        }
        var j = paths.Layer[first];
        int lower = r * _n + Math.Min(j, _n - 1), upper = r * _n + Math.Min(j + 1, _n - 1);
        ReadOnlySpan<double[]> ofFirst = [_wind, _windCurvature, _emission, _emissionBend], ofSecond = [_emissionThird, _amplitude, _amplitudeBend, _amplitudeThird];
        for (var k = 0; k < 4; k++)
        {
            ofFirst[k][lower] += phasePerSource * (changes[k] - changesUp[k]);
            ofFirst[k][upper] += phasePerSource * changesUp[k];
            var factor = k == 0 ? phasePerSource : 1;
            ofSecond[k][lower] += factor * (fading[k] - fadingUp[k]);
            ofSecond[k][upper] += factor * fadingUp[k];
        }
        if (j < _layers && paths.AboveKm[first] == 0) _between[r * _layers + j] += 4 * phasePerSource * between;
    }

    /// <summary>Adds to the covariance of the used rows' phases, rad².</summary>
    /// <param name="covariance">Used rows × used rows.</param>
    /// <param name="used">Used rows.</param>
    /// <param name="priors">Correlation with height, and the wind's variance between heights.</param>
    /// <param name="glow">1σ of the gradient of ln ε at each height, 1 per 1000 km.</param>
    /// <param name="gradient">Known gradient of the wind, m/s per 1000 km; null: none.</param>
    /// <param name="options">1σ of the wind's changes.</param>
    public void AddPhases(double[] covariance, int[] used, ProfilePriors priors, double[] glow, double[]? gradient, LosWindOptions options)
    {
        var (wind, bend) = WindChanges(glow, gradient, options);
        AddCorrelated(covariance, used, _wind, wind, priors);
        AddCorrelated(covariance, used, _windCurvature, bend, priors);
        AddCorrelated(covariance, used, _emission, glow, priors);
        var between = new double[used.Length * _layers];
        for (var i = 0; i < used.Length; i++) _between.AsSpan(used[i] * _layers, _layers).CopyTo(between.AsSpan(i * _layers, _layers));
        SmallMatrix.AddSymmetricProduct(covariance, SmallMatrix.Multiply(between, priors.BetweenHeights, used.Length, _layers, _layers), between, used.Length, _layers);
    }

    /// <summary>Adds what unseen changes of the wind do beyond <see cref="AddPhases"/> where they are larger by some factors.</summary>
    /// <param name="covariance">Used rows × used rows, rad².</param>
    /// <param name="used">Used rows.</param>
    /// <param name="priors">Correlation with height.</param>
    /// <param name="glow">1σ of the gradient of ln ε at each height, 1 per 1000 km.</param>
    /// <param name="gradient">Known gradient of the wind, m/s per 1000 km; null: none.</param>
    /// <param name="factor">How much larger at each height, 1 or more.</param>
    /// <param name="options">1σ of the wind's changes.</param>
    public void AddLarger(double[] covariance, int[] used, ProfilePriors priors, double[] glow, double[]? gradient, double[] factor, LosWindOptions options)
    {
        var (wind, bend) = WindChanges(glow, gradient, options);
        for (var i = 0; i < _n; i++)
        {
            var more = Math.Sqrt(Math.Max(0, Square(factor[i]) - 1));
            (wind[i], bend[i]) = (more * wind[i], more * bend[i]);
        }
        AddCorrelated(covariance, used, _wind, wind, priors);
        AddCorrelated(covariance, used, _windCurvature, bend, priors);
    }

    // 1σ of the wind's gradient, and of what multiplies x²: half the wind's curvature and the product of both gradients.
    private (double[] Wind, double[] Bend) WindChanges(double[] glow, double[]? gradient, LosWindOptions options)
    {
        var (wind, bend) = (new double[_n], new double[_n]);
        for (var i = 0; i < _n; i++)
        {
            var seen = gradient?[i] ?? 0;
            wind[i] = Math.Sqrt(Square(options.UnseenWindGradient) + Square(options.UnseenPerSeen * seen));
            bend[i] = Math.Sqrt(0.25 * (Square(options.UnseenWindCurvature) + Square(options.CurvaturePerSeen * seen)) + (Square(wind[i]) + Square(seen)) * Square(glow[i]));
        }
        return (wind, bend);
    }

    /// <summary>Adds to the covariance of the used rows' phases, rad², what higher derivatives of ln ε do: 1σ of the second and third, by 1000 km.</summary>
    public void AddBends(double[] covariance, int[] used, ProfilePriors priors, double[] second, double[] third)
    {
        AddCorrelated(covariance, used, _emissionBend, second, priors);
        AddCorrelated(covariance, used, _emissionThird, third, priors);
    }

    /// <summary>Covariance of the used rows' amplitudes from changes of the emission.</summary>
    public double[] Amplitudes(int[] used, ProfilePriors priors, double[] glow)
    {
        var covariance = new double[used.Length * used.Length];
        AddCorrelated(covariance, used, _amplitude, glow, priors);
        // e^(g·x) bends by g² where ln ε does not bend at all.
        AddCorrelated(covariance, used, _amplitudeBend, [.. glow.Select(Square)], priors);
        return covariance;
    }

    /// <summary>The same from the second and third derivatives of ln ε.</summary>
    public double[] BentAmplitudes(int[] used, ProfilePriors priors, double[] second, double[] third)
    {
        var covariance = new double[used.Length * used.Length];
        AddCorrelated(covariance, used, _amplitudeBend, second, priors);
        AddCorrelated(covariance, used, _amplitudeThird, third, priors);
        return covariance;
    }

    private void AddCorrelated(double[] covariance, int[] used, double[] matrix, double[] sigma, ProfilePriors priors)
    {
        var rank = priors.UnseenRank;
        var scaled = new double[_n];
        var spread = new double[used.Length * rank];
        for (var i = 0; i < used.Length; i++)
        {
            for (var k = 0; k < _n; k++) scaled[k] = matrix[used[i] * _n + k] * sigma[k];
            SmallMatrix.AddRows(spread.AsSpan(i * rank, rank), priors.Unseen, rank, scaled, 1, _n, 1);
        }
        SmallMatrix.AddSymmetricProduct(covariance, spread, spread, used.Length, rank);
    }

    private static double Speed(LimbPaths paths, double[] wind, int q)
    {
        var j = paths.Layer[q];
        return paths.Projection[q] * (wind[j] + paths.Share[q] * (wind[j + 1] - wind[j]));
    }

    private static double Square(double x) => x * x;
}
