using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Complex fringe amplitudes of all rows of an exposure and their derivatives (domain.md sections 2 and 3 step 8):
/// <c>C_r = Σ_q ε_q·ℓ_q·exp(−jκ(w_q·p_q − v_r))</c> over the points q of <see cref="LimbPaths"/>, with ln ε a natural cubic spline between tangent heights and
/// <c>ε = ε_top·e^(−Δz/H)</c> above the top row, w a natural cubic spline between all wind heights, p the cosine of the ray's elevation over the local horizontal, and v_r a reference speed of the row that
/// keeps the angles small. Along the ray w and ln ε may change with known gradients; the places before and
/// after the tangent point count by their light, at their mean distance by light from where the profile was measured at that height. One object per profile; its buffers are reused by every pass.
/// </summary>
internal sealed class LimbModel
{
    private const double FarthestLog = 1.5;

    private readonly LimbPaths _paths;
    private readonly double[] _windToBend, _emissionToBend;
    private readonly double _kappa;
    private readonly double[]? _windGradient;
    private readonly double[]? _brightness; // of the two places of a point against the height's emission, with a known change along the ray
    private readonly double[] _source; // ε·ℓ of each point at the last pass
    private readonly double[] _sin, _cos; // of each point's angle at the last pass
    private readonly double[] _windBend, _emissionBend;
    // Sums of a row over its points, real and imaginary: by ln ε and w at the heights, and by their second derivatives.
    private readonly double[] _factor1, _factor2; // by height, of the row at work
    private readonly double[] _e1, _e2, _eb1, _eb2, _w1, _w2, _wb1, _wb2;

    public LimbModel(LimbPaths paths, ProfilePriors priors, double kappaRadPerMs, double[]? windGradient, double[]? emissionGradient)
    {
        (_paths, _windToBend, _emissionToBend, _kappa, _windGradient) = (paths, priors.WindToBend, priors.EmissionToBend, kappaRadPerMs, windGradient);
        int n = paths.Count, u = paths.WindHeightKm.Length, points = paths.LengthKm.Length;
        (_source, _sin, _cos) = (new double[points], new double[points], new double[points]);
        (_windBend, _emissionBend) = (new double[u], new double[n]);
        (_e1, _e2, _eb1, _eb2) = (new double[n + 1], new double[n + 1], new double[n], new double[n]);
        (_factor1, _factor2) = (new double[u], new double[u]);
        (_w1, _w2, _wb1, _wb2) = (new double[u], new double[u], new double[u], new double[u]);
        (Amplitude, Phase) = (new double[n], new double[n]);
        (AmplitudeByEmission, PhaseByEmission, PhaseByWind) = (new double[n * (n + 1)], new double[n * (n + 1)], new double[n * u]);
        OffsetMm = paths.OffsetMm;
        if (emissionGradient is null) return;
        (_brightness, OffsetMm) = (new double[points], new double[points]);
        for (var q = 0; q < points; q++)
        {
            var gradient = At(emissionGradient, paths.Layer[q], paths.Share[q]);
            double half = Math.Sqrt(paths.SquareMm2[q]), before = paths.OffsetMm[q] - half, after = paths.OffsetMm[q] + half;
            double bright = Brightness(gradient * before), brightAfter = Brightness(gradient * after);
            _brightness[q] = 0.5 * (bright + brightAfter);
            OffsetMm[q] = (bright * before + brightAfter * after) / (bright + brightAfter);
        }
    }

    // A gradient measured here does not go on for ever: e^x for small x, at most a factor of 4.5 either way.
    private static double Brightness(double x) => Math.Exp(FarthestLog * Math.Tanh(x / FarthestLog));

    /// <summary>Mean distance of a point's two places, by their light, from where the profile was measured at their height, 1000 km along the ray.</summary>
    public double[] OffsetMm { get; }
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
    /// <summary>ε·ℓ of each point at the last pass.</summary>
    public ReadOnlySpan<double> Source => _source;

    /// <summary>Amplitudes and their derivatives as if all air moved alike: what the emission needs to begin.</summary>
    public void PassStill(double[] logEmission, double scaleHeightKm)
    {
        int n = _paths.Count, m = n + 1;
        Sources(logEmission, scaleHeightKm);
        for (var r = 0; r < n; r++)
        {
            double sum = 0, top = 0;
            Array.Clear(_e1);
            Array.Clear(_eb1);
            for (var piece = _paths.RowPiece[r]; piece < _paths.RowPiece[r + 1]; piece++)
            {
                var j = _paths.Layer[_paths.PieceStart[piece]];
                double all = 0, upper = 0, bend0 = 0, bend1 = 0, above = 0;
                for (var q = _paths.PieceStart[piece]; q < _paths.PieceStart[piece + 1]; q++)
                {
                    var c = _source[q];
                    all += c;
                    upper += _paths.Share[q] * c;
                    bend0 += _paths.Bend0[q] * c;
                    bend1 += _paths.Bend1[q] * c;
                    above += _paths.AboveKm[q] * c;
                }
                sum += all;
                if (above > 0)
                {
                    _e1[n - 1] += all;
                    top += above;
                    continue;
                }
                _e1[j] += all - upper;
                _e1[j + 1] += upper;
                _eb1[j] += bend0;
                _eb1[j + 1] += bend1;
            }
            Amplitude[r] = sum;
            var row = AmplitudeByEmission.AsSpan(r * m, m);
            _e1[n] = top / scaleHeightKm;
            _e1.CopyTo(row);
            SmallMatrix.AddRows(row[..n], _emissionToBend.AsSpan(r * n), n, _eb1.AsSpan(r), 1, n - r, 1);
        }
    }

    /// <summary>Amplitudes, phases and their derivatives.</summary>
    public void Pass(double[] logEmission, double scaleHeightKm, double[] wind, double[] referenceMs)
    {
        int n = _paths.Count, m = n + 1, u = wind.Length;
        Sources(logEmission, scaleHeightKm);
        Angles(wind, referenceMs);
        for (var r = 0; r < n; r++)
        {
            var (re, im, top1, top2) = SumRow(r);
            (_e1[n], _e2[n]) = (top1 / scaleHeightKm, top2 / scaleHeightKm);
            var square = re * re + im * im;
            var amplitude = Math.Sqrt(square);
            Amplitude[r] = amplitude;
            Phase[r] = Math.Atan2(im, re);
            var amplitudeRow = AmplitudeByEmission.AsSpan(r * m, m);
            var phaseRow = PhaseByEmission.AsSpan(r * m, m);
            for (var k = 0; k < m; k++)
            {
                amplitudeRow[k] = (_e1[k] * re + _e2[k] * im) / amplitude;
                phaseRow[k] = (_e2[k] * re - _e1[k] * im) / square;
            }
            for (var j = r; j < n; j++) (_factor1[j], _factor2[j]) = ((_eb1[j] * re + _eb2[j] * im) / amplitude, (_eb2[j] * re - _eb1[j] * im) / square);
            SmallMatrix.AddRows(amplitudeRow[..n], _emissionToBend.AsSpan(r * n), n, _factor1.AsSpan(r), 1, n - r, 1);
            SmallMatrix.AddRows(phaseRow[..n], _emissionToBend.AsSpan(r * n), n, _factor2.AsSpan(r), 1, n - r, 1);
            var row = PhaseByWind.AsSpan(r * u, u);
            for (var k = 0; k < u; k++) row[k] = -_kappa * (_w1[k] * re + _w2[k] * im) / square;
            for (var j = r; j < u; j++) _factor1[j] = -_kappa * (_wb1[j] * re + _wb2[j] * im) / square;
            SmallMatrix.AddRows(row, _windToBend.AsSpan(r * u), u, _factor1.AsSpan(r), 1, u - r, 1);
        }
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

    // Sums of C's derivatives over the points of a row. ∂C/∂w = −jκ·(what the w sums hold), ∂C/∂ln ε = what the e sums hold.
    private (double Re, double Im, double Top1, double Top2) SumRow(int r)
    {
        double re = 0, im = 0, top1 = 0, top2 = 0;
        foreach (var sums in (ReadOnlySpan<double[]>)[_e1, _e2, _eb1, _eb2, _w1, _w2, _wb1, _wb2]) Array.Clear(sums);
        var n = _paths.Count;
        for (var piece = _paths.RowPiece[r]; piece < _paths.RowPiece[r + 1]; piece++)
        {
            var j = _paths.Layer[_paths.PieceStart[piece]];
            double all1 = 0, all2 = 0, upper1 = 0, upper2 = 0, above1 = 0, above2 = 0, b01 = 0, b02 = 0, b11 = 0, b12 = 0;
            double wall1 = 0, wall2 = 0, wupper1 = 0, wupper2 = 0;
            // The ray's elevation hardly changes within a piece: the spline's small second-derivative terms take its mean.
            double light = 0, projected = 0;
            for (var q = _paths.PieceStart[piece]; q < _paths.PieceStart[piece + 1]; q++)
            {
                double c1 = _source[q] * _cos[q], c2 = _source[q] * _sin[q], f = _paths.Share[q], p = _paths.Projection[q];
                light += _source[q];
                projected += p * _source[q];
                all1 += c1;
                all2 += c2;
                upper1 += f * c1;
                upper2 += f * c2;
                above1 += _paths.AboveKm[q] * c1;
                above2 += _paths.AboveKm[q] * c2;
                b01 += _paths.Bend0[q] * c1;
                b02 += _paths.Bend0[q] * c2;
                b11 += _paths.Bend1[q] * c1;
                b12 += _paths.Bend1[q] * c2;
                c1 *= p;
                c2 *= p;
                wall1 += c1;
                wall2 += c2;
                wupper1 += f * c1;
                wupper2 += f * c2;
            }
            re += all1;
            im += all2;
            if (_paths.AboveKm[_paths.PieceStart[piece]] > 0)
            {
                _e1[n - 1] += all1;
                _e2[n - 1] += all2;
                top1 += above1;
                top2 += above2;
            }
            else
            {
                _e1[j] += all1 - upper1;
                _e2[j] += all2 - upper2;
                _e1[j + 1] += upper1;
                _e2[j + 1] += upper2;
                _eb1[j] += b01;
                _eb2[j] += b02;
                _eb1[j + 1] += b11;
                _eb2[j + 1] += b12;
            }
            var mean = light > 0 ? projected / light : 1;
            _w1[j] += wall1 - wupper1;
            _w2[j] += wall2 - wupper2;
            _w1[j + 1] += wupper1;
            _w2[j + 1] += wupper2;
            _wb1[j] += mean * b01;
            _wb2[j] += mean * b02;
            _wb1[j + 1] += mean * b11;
            _wb2[j + 1] += mean * b12;
        }
        return (re, im, top1, top2);
    }

    // ε·ℓ of every point.
    private void Sources(double[] logEmission, double scaleHeightKm)
    {
        var n = _paths.Count;
        for (var i = 0; i < n; i++) _emissionBend[i] = SmallMatrix.Dot(_emissionToBend.AsSpan(i * n, n), logEmission);
        for (var piece = 0; piece < _paths.PieceStart.Length - 1; piece++)
        {
            var (first, end) = (_paths.PieceStart[piece], _paths.PieceStart[piece + 1]);
            if (_paths.AboveKm[first] > 0)
            {
                for (var q = first; q < end; q++) _source[q] = logEmission[^1] - _paths.AboveKm[q] / scaleHeightKm;
                continue;
            }
            var j = _paths.Layer[first];
            double lower = logEmission[j], step = logEmission[j + 1] - lower, bend0 = _emissionBend[j], bend1 = _emissionBend[j + 1];
            for (var q = first; q < end; q++) _source[q] = lower + _paths.Share[q] * step + _paths.Bend0[q] * bend0 + _paths.Bend1[q] * bend1;
        }
        var wide = MemoryMarshal.Cast<double, Vector256<double>>(_source.AsSpan());
        for (var i = 0; i < wide.Length; i++) wide[i] = Vector256.Exp(wide[i]);
        for (var q = 4 * wide.Length; q < _source.Length; q++) _source[q] = Math.Exp(_source[q]);
        for (var q = 0; q < _source.Length; q++) _source[q] *= _paths.LengthKm[q];
        if (_brightness is not null)
            for (var q = 0; q < _source.Length; q++) _source[q] *= _brightness[q];
    }

    // Cosine and sine of −κ·(w·p − v) of every point.
    private void Angles(double[] wind, double[] referenceMs)
    {
        var u = wind.Length;
        for (var i = 0; i < u; i++) _windBend[i] = SmallMatrix.Dot(_windToBend.AsSpan(i * u, u), wind);
        for (var r = 0; r < _paths.Count; r++)
            for (var piece = _paths.RowPiece[r]; piece < _paths.RowPiece[r + 1]; piece++)
            {
                var (first, end) = (_paths.PieceStart[piece], _paths.PieceStart[piece + 1]);
                var j = _paths.Layer[first];
                double lower = wind[j], step = wind[j + 1] - lower, bend0 = _windBend[j], bend1 = _windBend[j + 1];
                for (var q = first; q < end; q++)
                {
                    var w = lower + _paths.Share[q] * step + _paths.Bend0[q] * bend0 + _paths.Bend1[q] * bend1;
                    if (_windGradient is not null) w += At(_windGradient, j, _paths.Share[q]) * OffsetMm[q];
                    _sin[q] = -_kappa * (w * _paths.Projection[q] - referenceMs[r]);
                }
            }
        var sines = MemoryMarshal.Cast<double, Vector256<double>>(_sin.AsSpan());
        var cosines = MemoryMarshal.Cast<double, Vector256<double>>(_cos.AsSpan());
        for (var i = 0; i < sines.Length; i++) (sines[i], cosines[i]) = Vector256.SinCos(sines[i]);
        for (var q = 4 * sines.Length; q < _sin.Length; q++) (_sin[q], _cos[q]) = Math.SinCos(_sin[q]);
    }

    // Above the top row a quantity that is known at tangent heights only keeps its value there.
    private double At(double[] values, int j, double f)
    {
        var top = _paths.Count - 1;
        return j >= top ? values[top] : (1 - f) * values[j] + f * values[j + 1];
    }
}
