namespace Phasekeeper.Core.Winds;

/// <summary>
/// Complex fringe amplitudes of all rows of an exposure and their derivatives (domain.md sections 2 and 3 step 8):
/// <c>C_r = Σ_q ε_q·ℓ_q·exp(−jκ(w_q·p_q − v_r))</c> over the points q of <see cref="LimbPaths"/>, with ln ε linear between tangent heights and
/// <c>ε = ε_top·e^(−Δz/H)</c> above the top row, w a natural cubic spline between all wind heights, p the cosine of the ray's elevation over the local horizontal, and v_r a reference speed of the row that
/// keeps the angles small. Along the ray w may change with a known gradient; the places before and
/// after the tangent point average to their mean distance from where the profile was measured at that height. One object per profile; its buffers are reused by every pass.
/// </summary>
internal sealed class LimbModel
{
    private readonly LimbPaths _paths;
    private readonly double[] _toBend;
    private readonly double _kappa;
    private readonly double[]? _windGradient;
    private readonly double[] _source; // ε·ℓ of each point at the last pass
    private readonly double[] _e1, _e2, _w1, _w2, _b1, _b2, _bend;

    public LimbModel(LimbPaths paths, double[] toBend, double kappaRadPerMs, double[]? windGradient)
    {
        (_paths, _toBend, _kappa, _windGradient) = (paths, toBend, kappaRadPerMs, windGradient);
        int n = paths.Count, u = paths.WindHeightKm.Length;
        (_e1, _e2, _w1, _w2, _b1, _b2, _bend) = (new double[n + 1], new double[n + 1], new double[u], new double[u], new double[u], new double[u], new double[u]);
        _source = new double[paths.LengthKm.Length];
        (Amplitude, Phase) = (new double[n], new double[n]);
        (AmplitudeByEmission, PhaseByEmission, PhaseByWind) = (new double[n * (n + 1)], new double[n * (n + 1)], new double[n * u]);
    }

    /// <summary>|C|.</summary>
    public double[] Amplitude { get; }
    /// <summary>arg C relative to −κ·v, rad.</summary>
    public double[] Phase { get; }
    /// <summary>∂|C|/∂(ln ε at the heights, ln H), n × (n+1).</summary>
    public double[] AmplitudeByEmission { get; }
    /// <summary>∂arg C/∂(ln ε at the heights, ln H), n × (n+1).</summary>
    public double[] PhaseByEmission { get; }
    /// <summary>∂arg C/∂w, rad per m/s, rows × wind heights.</summary>
    public double[] PhaseByWind { get; }

    /// <summary>Amplitudes and their derivatives as if all air moved alike: what the emission needs to begin.</summary>
    public void PassStill(double[] logEmission, double scaleHeightKm)
    {
        int n = _paths.Count, m = n + 1;
        for (var r = 0; r < n; r++)
        {
            double sum = 0, top = 0;
            Array.Clear(_e1);
            for (var q = _paths.Start[r]; q < _paths.Start[r + 1]; q++)
            {
                int j = _paths.Layer[q];
                double f = _paths.Share[q], above = _paths.AboveKm[q];
                var c = Source(q, j, f, above, logEmission, scaleHeightKm);
                sum += c;
                if (above > 0)
                {
                    _e1[n - 1] += c;
                    top += c * above;
                    continue;
                }
                _e1[j] += (1 - f) * c;
                _e1[j + 1] += f * c;
            }
            Amplitude[r] = sum;
            _e1[n] = top / scaleHeightKm;
            _e1.AsSpan().CopyTo(AmplitudeByEmission.AsSpan(r * m, m));
        }
    }

    /// <summary>Amplitudes, phases and their derivatives.</summary>
    public void Pass(double[] logEmission, double scaleHeightKm, double[] wind, double[] referenceMs)
    {
        int n = _paths.Count, m = n + 1, u = wind.Length;
        for (var i = 0; i < u; i++)
        {
            var sum = 0.0;
            for (var k = 0; k < u; k++) sum += _toBend[i * u + k] * wind[k];
            _bend[i] = sum;
        }
        for (var r = 0; r < n; r++)
        {
            double re = 0, im = 0, top1 = 0, top2 = 0;
            Array.Clear(_e1);
            Array.Clear(_e2);
            Array.Clear(_w1);
            Array.Clear(_w2);
            Array.Clear(_b1);
            Array.Clear(_b2);
            for (var q = _paths.Start[r]; q < _paths.Start[r + 1]; q++)
            {
                var j = _paths.Layer[q];
                double f = _paths.Share[q], g = 1 - f, above = _paths.AboveKm[q], p = _paths.Projection[q];
                var w = g * wind[j] + f * wind[j + 1] + _paths.Bend0[q] * _bend[j] + _paths.Bend1[q] * _bend[j + 1];
                if (_windGradient is not null) w += At(_windGradient, j, f) * _paths.OffsetMm[q];
                var (sin, cos) = Math.SinCos(-_kappa * (w * p - referenceMs[r]));
                var source = _source[q] = Source(q, j, f, above, logEmission, scaleHeightKm);
                double c1 = source * cos, c2 = source * sin;
                re += c1;
                im += c2;
                if (above > 0)
                {
                    _e1[n - 1] += c1;
                    _e2[n - 1] += c2;
                    top1 += above * c1;
                    top2 += above * c2;
                }
                else
                {
                    _e1[j] += g * c1;
                    _e1[j + 1] += f * c1;
                    _e2[j] += g * c2;
                    _e2[j + 1] += f * c2;
                }
                c1 *= p;
                c2 *= p;
                _w1[j] += g * c1;
                _w1[j + 1] += f * c1;
                _w2[j] += g * c2;
                _w2[j + 1] += f * c2;
                _b1[j] += _paths.Bend0[q] * c1;
                _b1[j + 1] += _paths.Bend1[q] * c1;
                _b2[j] += _paths.Bend0[q] * c2;
                _b2[j + 1] += _paths.Bend1[q] * c2;
            }
            (_e1[n], _e2[n]) = (top1 / scaleHeightKm, top2 / scaleHeightKm);
            var square = re * re + im * im;
            var amplitude = Math.Sqrt(square);
            Amplitude[r] = amplitude;
            Phase[r] = Math.Atan2(im, re);
            for (var k = 0; k < m; k++)
            {
                AmplitudeByEmission[r * m + k] = (_e1[k] * re + _e2[k] * im) / amplitude;
                PhaseByEmission[r * m + k] = (_e2[k] * re - _e1[k] * im) / square;
            }
            var row = PhaseByWind.AsSpan(r * u, u);
            for (var k = 0; k < u; k++) row[k] = -_kappa * (_w1[k] * re + _w2[k] * im) / square;
            for (var j = r > 0 ? r - 1 : 0; j < u; j++)
            {
                var bend = -_kappa * (_b1[j] * re + _b2[j] * im) / square;
                if (bend == 0) continue;
                var weights = _toBend.AsSpan(j * u, u);
                for (var k = 0; k < u; k++) row[k] += bend * weights[k];
            }
        }
    }

    /// <summary>
    /// Change of the phases, rad, with changes along the ray at each height, n × n each: wind per 1000 km, wind per (1000 km)², and ln ε per 1000 km. Angles
    /// are small, so the weights ε·ℓ of the last pass suffice.
    /// </summary>
    public (double[] WindSlope, double[] WindCurvature, double[] EmissionSlope) AlongRay(double[] wind)
    {
        var n = _paths.Count;
        double[] slope = new double[n * n], curvature = new double[n * n], emission = new double[n * n];
        for (var r = 0; r < n; r++)
        {
            double sum = 0, moving = 0;
            for (var q = _paths.Start[r]; q < _paths.Start[r + 1]; q++)
            {
                var j = _paths.Layer[q];
                double f = _paths.Share[q], g = 1 - f;
                var c = _source[q];
                sum += c;
                moving += c * _paths.Projection[q] * (g * wind[j] + f * wind[j + 1]);
            }
            var mean = moving / sum;
            for (var q = _paths.Start[r]; q < _paths.Start[r + 1]; q++)
            {
                var j = _paths.Layer[q];
                double f = _paths.Share[q], g = 1 - f;
                var c = -_kappa * _source[q] / sum;
                double d = c * _paths.Projection[q] * _paths.OffsetMm[q], x = c * _paths.Projection[q] * _paths.SquareMm2[q];
                var e = c * _paths.OffsetMm[q] * (_paths.Projection[q] * (g * wind[j] + f * wind[j + 1]) - mean);
                int lower = Math.Min(j, n - 1), upper = Math.Min(j + 1, n - 1);
                slope[r * n + lower] += g * d;
                slope[r * n + upper] += f * d;
                curvature[r * n + lower] += g * x;
                curvature[r * n + upper] += f * x;
                emission[r * n + lower] += g * e;
                emission[r * n + upper] += f * e;
            }
        }
        return (slope, curvature, emission);
    }

    /// <summary>Share of each row's amplitude from within half a row spacing above its tangent height.</summary>
    public double[] OwnLayerShare()
    {
        var n = _paths.Count;
        var share = new double[n];
        for (var r = 0; r < n; r++)
        {
            double own = 0, sum = 0;
            for (var q = _paths.Start[r]; q < _paths.Start[r + 1]; q++)
            {
                var c = _source[q];
                sum += c;
                if (r == n - 1 ? _paths.AboveKm[q] < 0.5 * (_paths.HeightKm[r] - _paths.HeightKm[r - 1]) : _paths.Layer[q] == r && _paths.AboveKm[q] == 0 && _paths.Share[q] < 0.5) own += c;
            }
            share[r] = own / sum;
        }
        return share;
    }

    // Above the top row a quantity that is known at tangent heights only keeps its value there.
    private double At(double[] values, int j, double f)
    {
        var top = _paths.Count - 1;
        return j >= top ? values[top] : (1 - f) * values[j] + f * values[j + 1];
    }

    private double Source(int q, int j, double f, double above, double[] logEmission, double scaleHeightKm)
    {
        return Math.Exp(At(logEmission, j, f) - above / scaleHeightKm) * _paths.LengthKm[q];
    }
}
