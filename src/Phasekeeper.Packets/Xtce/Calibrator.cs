namespace Phasekeeper.Packets.Xtce;

/// <summary>Turns a raw number into engineering units.</summary>
public abstract class Calibrator
{
    /// <summary>Calibrated value; false when the raw value lies outside what the calibrator covers.</summary>
    public abstract bool TryApply(double raw, out double calibrated);
}

/// <summary>Σ c_k·raw^k, by Horner's rule from the highest power.</summary>
public sealed class PolynomialCalibrator(IReadOnlyList<double> coefficients) : Calibrator
{
    private readonly double[] _coefficients = [.. coefficients];

    /// <summary>c_0, c_1, … in ascending powers.</summary>
    public IReadOnlyList<double> Coefficients => _coefficients;

    /// <inheritdoc/>
    public override bool TryApply(double raw, out double calibrated)
    {
        var sum = 0.0;
        for (var k = _coefficients.Length - 1; k >= 0; k--) sum = sum * raw + _coefficients[k];
        calibrated = sum;
        return double.IsFinite(sum);
    }
}

/// <summary>
/// Table of points: order 1 joins them by straight lines, order 0 holds the value of the point at or below. Outside the points
/// the end lines go on (order 0: the end value holds) when the file says extrapolate="true"; otherwise there is no value there.
/// </summary>
public sealed class SplineCalibrator : Calibrator
{
    private readonly double[] _raw;
    private readonly double[] _calibrated;
    private readonly int _order;
    private readonly bool _extrapolate;

    /// <summary>Makes a spline; points are sorted here.</summary>
    /// <exception cref="ArgumentException">Too few points for the order, or two points with one raw value.</exception>
    public SplineCalibrator(IEnumerable<(double Raw, double Calibrated)> points, int order, bool extrapolate)
    {
        var sorted = points.OrderBy(p => p.Raw).ToArray();
        if (sorted.Length < order + 1) throw new ArgumentException($"a spline of order {order} needs {order + 1} points; found {sorted.Length}.", nameof(points));
        for (var i = 1; i < sorted.Length; i++)
            if (sorted[i].Raw == sorted[i - 1].Raw) throw new ArgumentException($"two spline points have the raw value {sorted[i].Raw}.", nameof(points));
        _raw = sorted.Select(p => p.Raw).ToArray();
        _calibrated = sorted.Select(p => p.Calibrated).ToArray();
        _order = order;
        _extrapolate = extrapolate;
    }

    /// <summary>The points by rising raw value.</summary>
    public IReadOnlyList<(double Raw, double Calibrated)> Points => [.. _raw.Zip(_calibrated)];

    /// <summary>1: straight lines between points; 0: the value of the point at or below.</summary>
    public int Order => _order;

    /// <summary>Whether there are values outside the points.</summary>
    public bool Extrapolates => _extrapolate;

    /// <inheritdoc/>
    public override bool TryApply(double raw, out double calibrated)
    {
        calibrated = double.NaN;
        var last = _raw.Length - 1;
        if (double.IsNaN(raw) || (!_extrapolate && (raw < _raw[0] || raw > _raw[last]))) return false;
        var i = Array.BinarySearch(_raw, raw);
        if (i >= 0)
        {
            calibrated = _calibrated[i];
            return true;
        }
        i = ~i - 1;
        if (_order == 0)
        {
            calibrated = _calibrated[Math.Max(i, 0)];
            return true;
        }
        i = Math.Clamp(i, 0, last - 1);
        calibrated = _calibrated[i] + (raw - _raw[i]) * (_calibrated[i + 1] - _calibrated[i]) / (_raw[i + 1] - _raw[i]);
        return double.IsFinite(calibrated);
    }
}
