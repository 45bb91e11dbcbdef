namespace Phasekeeper.Core.Winds;

/// <summary>
/// Emission at the tangent heights, and its scale height above the top row, from the rows' fringe amplitudes |C|. The unknowns are logarithms, so emission is
/// positive however weak; the prior is a Gaussian process of height about e⁻⁴ of the brightest layer (σ of 5 in ln ε, correlation 25 km: a layer of 6 km scale height
/// passes unhindered), and the slope below the top row is held to the scale height above it within 0.5.
/// </summary>
internal sealed class EmissionFit
{
    /// <summary>1σ of ln ε about its prior.</summary>
    public const double PriorSigma = 5;
    /// <summary>Its correlation length with height, km.</summary>
    public const double PriorLengthKm = 25;

    private const double PriorDrop = 4, TopSlopeSigma = 0.5, LargestStep = 1.5;

    private readonly LimbPaths _paths;
    private readonly int[] _used;
    private readonly double[] _amplitude, _noise, _variance, _prior, _mean, _x;
    private readonly LosWindOptions _options;

    /// <summary>Prepares the fit.</summary>
    /// <param name="paths">Path geometry.</param>
    /// <param name="used">Heights with a measured amplitude, ascending.</param>
    /// <param name="amplitude">A·V at each height, electrons.</param>
    /// <param name="sigma">Its 1σ.</param>
    /// <param name="prior">Prior covariance of (ln ε, ln H).</param>
    /// <param name="options">Prior knowledge.</param>
    public EmissionFit(LimbPaths paths, int[] used, double[] amplitude, double[] sigma, double[] prior, LosWindOptions options)
    {
        (_paths, _used, _prior, _options) = (paths, used, prior, options);
        int n = paths.Count, k = n + 1, m = used.Length + 1;
        _amplitude = [.. used.Select(r => amplitude[r])];
        _variance = new double[m * m];
        for (var i = 0; i < used.Length; i++) _variance[i * m + i] = sigma[used[i]] * sigma[used[i]];
        _variance[m * m - 1] = TopSlopeSigma * TopSlopeSigma;
        _noise = (double[])_variance.Clone();
        _x = new double[k];
        _x[n] = Math.Log(options.TopScaleHeightKm);
        Start();
        _mean = new double[k];
        Array.Fill(_mean, _x.AsSpan(0, n).ToArray().Max() - PriorDrop, 0, n);
        _mean[n] = _x[n];
        LogEmission = _x.AsSpan(0, n).ToArray();
        Covariance = _prior;
    }

    /// <summary>ln ε at the heights.</summary>
    public double[] LogEmission { get; }
    /// <summary>H above the top row, km.</summary>
    public double ScaleHeightKm => Math.Exp(_x[^1]);
    /// <summary>Covariance of (ln ε, ln H), after a step with covariance.</summary>
    public double[] Covariance { get; private set; }

    /// <summary>Change of (ln ε, ln H) by the amplitudes of the used heights, after a step with covariance.</summary>
    public double[] Gain { get; private set; } = [];

    /// <summary>Adds to the amplitudes' noise the covariance of what the model cannot say of them, used heights × used heights.</summary>
    public void SetModelError(double[] covariance)
    {
        var m = _used.Length;
        for (var i = 0; i < m; i++)
            for (var j = 0; j < m; j++) _variance[i * (m + 1) + j] = _noise[i * (m + 1) + j] + covariance[i * m + j];
    }

    /// <summary>One step from the amplitudes and derivatives that the model holds; the largest change of a logarithm.</summary>
    public double Step(LimbModel model, bool withCovariance)
    {
        int n = _paths.Count, k = n + 1, m = _used.Length + 1;
        var jacobian = new double[m * k];
        var data = new double[m];
        for (var i = 0; i < _used.Length; i++)
        {
            var row = model.AmplitudeByEmission.AsSpan(_used[i] * k, k);
            row.CopyTo(jacobian.AsSpan(i * k, k));
            data[i] = _amplitude[i] - model.Amplitude[_used[i]];
            for (var p = 0; p < k; p++) data[i] += row[p] * (_x[p] - _mean[p]);
        }
        // Slope below the top row against the scale height above it, as a number near one.
        var h0 = _options.TopScaleHeightKm;
        var width = _paths.HeightKm[n - 1] - _paths.HeightKm[n - 2];
        var last = (m - 1) * k;
        (jacobian[last + n - 2], jacobian[last + n - 1], jacobian[last + n]) = (h0 / width, -h0 / width, h0 * Math.Exp(-_x[n]));
        data[m - 1] = -(h0 / width * (_x[n - 2] - _x[n - 1]) - h0 * Math.Exp(-_x[n]));
        for (var p = n - 2; p < k; p++) data[m - 1] += jacobian[last + p] * (_x[p] - _mean[p]);

        if (OptimalEstimate.TryPrepare(jacobian, _prior, _variance, m, k) is not { } estimate) return 0;
        var next = estimate.Estimate(data);
        var largest = 0.0;
        for (var p = 0; p < k; p++)
        {
            var change = Math.Clamp(_mean[p] + next[p] - _x[p], -LargestStep, LargestStep);
            largest = Math.Max(largest, Math.Abs(change));
            _x[p] += change;
        }
        _x[n] = Math.Clamp(_x[n], Math.Log(h0) - 4 * _options.TopScaleHeightSigma, Math.Log(h0) + 4 * _options.TopScaleHeightSigma);
        _x.AsSpan(0, n).CopyTo(LogEmission);
        if (!withCovariance) return largest;
        Covariance = estimate.Posterior();
        var gain = estimate.Gain(k);
        Gain = new double[k * _used.Length];
        for (var p = 0; p < k; p++) gain.AsSpan(p * m, _used.Length).CopyTo(Gain.AsSpan(p * _used.Length, _used.Length));
        return largest;
    }

    // Plain peeling from the top down, held to at least 3 % of what the row alone would give.
    private void Start()
    {
        var n = _paths.Count;
        var emission = new double[n];
        var measured = new double[n];
        var next = _used.Length - 1;
        for (var r = n - 1; r >= 0; r--)
        {
            while (next > 0 && _used[next] > r) next--;
            measured[r] = Math.Max(_amplitude[next], 1e-9);
        }
        for (var r = n - 1; r >= 0; r--)
        {
            double above = 0, own = 0, all = 0;
            for (var q = _paths.Start[r]; q < _paths.Start[r + 1]; q++)
            {
                var j = _paths.Layer[q];
                double f = _paths.Share[q], c = _paths.LengthKm[q] * Math.Exp(-_paths.AboveKm[q] / _options.TopScaleHeightKm);
                all += c;
                if (r == n - 1) own += c;
                else if (_paths.AboveKm[q] > 0) above += c * emission[n - 1];
                else if (j == r)
                {
                    own += (1 - f) * c;
                    above += f * c * emission[j + 1];
                }
                else above += c * ((1 - f) * emission[j] + f * emission[j + 1]);
            }
            emission[r] = Math.Max((measured[r] - above) / own, 0.03 * measured[r] / all);
            _x[r] = Math.Log(emission[r]);
        }
    }
}
