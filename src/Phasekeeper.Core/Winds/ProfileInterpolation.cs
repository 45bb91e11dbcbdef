namespace Phasekeeper.Core.Winds;

/// <summary>A profile between its heights: the same natural cubic spline that the inversion uses.</summary>
internal sealed class ProfileInterpolation
{
    /// <summary>How far beyond its lowest and highest tangent point a profile is held constant, km (chosen: a fifth of a usual row spacing).</summary>
    public const double ReachKm = 2;

    private readonly double[] _heightKm, _toBend;

    private ProfileInterpolation(LosWindProfile profile, double[] heightKm)
    {
        (Profile, _heightKm) = (profile, heightKm);
        _toBend = NaturalSpline.SecondDerivatives(heightKm);
    }

    /// <summary>The profile.</summary>
    public LosWindProfile Profile { get; }

    /// <summary>Prepares a profile; null when it has no inverted winds.</summary>
    public static ProfileInterpolation? TryCreate(LosWindProfile profile) =>
        profile.MatrixRows.Length < 3 ? null : new(profile, [.. profile.MatrixRows.Select(r => profile.Rows[r].AltitudeKm)]);

    /// <summary>Where a height lies: the rows below and above it and its share between them; false outside the profile's reach.</summary>
    public bool TryLocate(double altitudeKm, out LosWind below, out LosWind above, out double share)
    {
        var found = TryLayer(altitudeKm, out var j, out share);
        (below, above) = (Profile.Rows[Profile.MatrixRows[j]], Profile.Rows[Profile.MatrixRows[j + 1]]);
        return found;
    }

    /// <summary>Weights of the profile's winds (in the order of its matrices) in the wind at a height; null outside its reach.</summary>
    public double[]? Weights(double altitudeKm)
    {
        if (!TryLayer(altitudeKm, out var j, out var f)) return null;
        var n = _heightKm.Length;
        var width = _heightKm[j + 1] - _heightKm[j];
        double g = 1 - f, b0 = (g * g * g - g) * width * width / 6, b1 = (f * f * f - f) * width * width / 6;
        var weights = new double[n];
        for (var k = 0; k < n; k++) weights[k] = b0 * _toBend[j * n + k] + b1 * _toBend[(j + 1) * n + k];
        weights[j] += g;
        weights[j + 1] += f;
        return weights;
    }

    /// <summary>Wind and variance for weights of <see cref="Weights"/>, m/s and (m/s)².</summary>
    public (double WindMs, double VarianceM2S2) At(double[] weights)
    {
        var n = weights.Length;
        double wind = 0, variance = 0;
        for (var k = 0; k < n; k++)
        {
            wind += weights[k] * Profile.Rows[Profile.MatrixRows[k]].WindMs;
            for (var l = 0; l < n; l++) variance += weights[k] * weights[l] * Profile.CovarianceM2S2[k * n + l];
        }
        return (wind, Math.Max(0, variance));
    }

    private bool TryLayer(double altitudeKm, out int layer, out double share)
    {
        var n = _heightKm.Length;
        layer = 0;
        while (layer < n - 2 && altitudeKm > _heightKm[layer + 1]) layer++;
        share = Math.Clamp((altitudeKm - _heightKm[layer]) / (_heightKm[layer + 1] - _heightKm[layer]), 0, 1);
        return altitudeKm >= _heightKm[0] - ReachKm && altitudeKm <= _heightKm[n - 1] + ReachKm;
    }
}
