namespace Phasekeeper.Core.Geometry;

/// <summary>
/// Nutation of the Earth's axis by the IAU 1980 theory (Wahr 1981; Seidelmann (ed.) 1992, Explanatory Supplement, table 3.222.1): the 63 terms
/// of 0.0003″ and more, as Meeus 1998, Astronomical Algorithms, table 22.A prints them. The terms left out sum to less than
/// 0.002″, the theory itself is off by about 0.1″ against modern models: 3 m at 7000 km.
/// </summary>
public static class Nutation1980
{
    private const double ArcsecondRad = Math.PI / 648000;

    /// <summary>Mean obliquity of the ecliptic, rad; T in Julian centuries of TT (IAU 1976: 84381.448″ − 46.8150″T − 0.00059″T² + 0.001813″T³).</summary>
    public static double MeanObliquityRad(double t) => (84381.448 + (-46.8150 + (-0.00059 + 0.001813 * t) * t) * t) * ArcsecondRad;

    /// <summary>Nutation in longitude Δψ and obliquity Δε, and the longitude of the Moon's node Ω, rad; T in Julian centuries of TT.</summary>
    public static (double LongitudeRad, double ObliquityRad, double NodeRad) At(double t)
    {
        // Mean elongation of the Moon, anomalies of Sun and Moon, argument of latitude and node of the Moon (same table): degrees.
        var d = Angle(297.85036 + (445267.111480 + (-0.0019142 + t / 189474) * t) * t);
        var m = Angle(357.52772 + (35999.050340 + (-0.0001603 - t / 300000) * t) * t);
        var mp = Angle(134.96298 + (477198.867398 + (0.0086972 + t / 56250) * t) * t);
        var f = Angle(93.27191 + (483202.017538 + (-0.0036825 + t / 327270) * t) * t);
        var node = Angle(125.04452 + (-1934.136261 + (0.0020708 + t / 450000) * t) * t);
        double longitude = 0, obliquity = 0;
        for (var i = Terms.Length - 9; i >= 0; i -= 9)
        {
            var (sin, cos) = Math.SinCos(Terms[i] * d + Terms[i + 1] * m + Terms[i + 2] * mp + Terms[i + 3] * f + Terms[i + 4] * node);
            longitude += (Terms[i + 5] + Terms[i + 6] * t) * sin;
            obliquity += (Terms[i + 7] + Terms[i + 8] * t) * cos;
        }
        return (longitude * 1e-4 * ArcsecondRad, obliquity * 1e-4 * ArcsecondRad, node);
    }

    private static double Angle(double degrees) => Math.IEEERemainder(degrees, 360) * (Math.PI / 180);

    // Multiples of D, M, M', F, Ω; then Δψ and its change a century (sine), Δε and its change a century (cosine), in 0.0001″.
    private static readonly double[] Terms =
    [
        0, 0, 0, 0, 1, -171996, -174.2, 92025, 8.9,
        -2, 0, 0, 2, 2, -13187, -1.6, 5736, -3.1,
        0, 0, 0, 2, 2, -2274, -0.2, 977, -0.5,
        0, 0, 0, 0, 2, 2062, 0.2, -895, 0.5,
        0, 1, 0, 0, 0, 1426, -3.4, 54, -0.1,
        0, 0, 1, 0, 0, 712, 0.1, -7, 0,
        -2, 1, 0, 2, 2, -517, 1.2, 224, -0.6,
        0, 0, 0, 2, 1, -386, -0.4, 200, 0,
        0, 0, 1, 2, 2, -301, 0, 129, -0.1,
        -2, -1, 0, 2, 2, 217, -0.5, -95, 0.3,
        -2, 0, 1, 0, 0, -158, 0, -1, 0,
        -2, 0, 0, 2, 1, 129, 0.1, -70, 0,
        0, 0, -1, 2, 2, 123, 0, -53, 0,
        2, 0, 0, 0, 0, 63, 0, -2, 0,
        0, 0, 1, 0, 1, 63, 0.1, -33, 0,
        2, 0, -1, 2, 2, -59, 0, 26, 0,
        0, 0, -1, 0, 1, -58, -0.1, 32, 0,
        0, 0, 1, 2, 1, -51, 0, 27, 0,
        -2, 0, 2, 0, 0, 48, 0, 1, 0,
        0, 0, -2, 2, 1, 46, 0, -24, 0,
        2, 0, 0, 2, 2, -38, 0, 16, 0,
        0, 0, 2, 2, 2, -31, 0, 13, 0,
        0, 0, 2, 0, 0, 29, 0, -1, 0,
        -2, 0, 1, 2, 2, 29, 0, -12, 0,
        0, 0, 0, 2, 0, 26, 0, -1, 0,
        -2, 0, 0, 2, 0, -22, 0, 0, 0,
        0, 0, -1, 2, 1, 21, 0, -10, 0,
        0, 2, 0, 0, 0, 17, -0.1, 0, 0,
        2, 0, -1, 0, 1, 16, 0, -8, 0,
        -2, 2, 0, 2, 2, -16, 0.1, 7, 0,
        0, 1, 0, 0, 1, -15, 0, 9, 0,
        -2, 0, 1, 0, 1, -13, 0, 7, 0,
        0, -1, 0, 0, 1, -12, 0, 6, 0,
        0, 0, 2, -2, 0, 11, 0, 0, 0,
        2, 0, -1, 2, 1, -10, 0, 5, 0,
        2, 0, 1, 2, 2, -8, 0, 3, 0,
        0, 1, 0, 2, 2, 7, 0, -3, 0,
        -2, 1, 1, 0, 0, -7, 0, 0, 0,
        0, -1, 0, 2, 2, -7, 0, 3, 0,
        2, 0, 0, 2, 1, -7, 0, 3, 0,
        2, 0, 1, 0, 0, 6, 0, 0, 0,
        -2, 0, 2, 2, 2, 6, 0, -3, 0,
        -2, 0, 1, 2, 1, 6, 0, -3, 0,
        2, 0, -2, 0, 1, -6, 0, 3, 0,
        2, 0, 0, 0, 1, -6, 0, 3, 0,
        0, -1, 1, 0, 0, 5, 0, 0, 0,
        -2, -1, 0, 2, 1, -5, 0, 3, 0,
        -2, 0, 0, 0, 1, -5, 0, 3, 0,
        0, 0, 2, 2, 1, -5, 0, 3, 0,
        -2, 0, 2, 0, 1, 4, 0, -2, 0,
        -2, 1, 0, 2, 1, 4, 0, -2, 0,
        0, 0, 1, -2, 0, 4, 0, 0, 0,
        -1, 0, 1, 0, 0, -4, 0, 0, 0,
        -2, 1, 0, 0, 0, -4, 0, 0, 0,
        1, 0, 0, 0, 0, -4, 0, 0, 0,
        0, 0, 1, 2, 0, 3, 0, 0, 0,
        0, 0, -2, 2, 2, -3, 0, 1, 0,
        -1, -1, 1, 0, 0, -3, 0, 0, 0,
        0, 1, 1, 0, 0, -3, 0, 0, 0,
        0, -1, 1, 2, 2, -3, 0, 1, 0,
        2, -1, -1, 2, 2, -3, 0, 1, 0,
        0, 0, 3, 2, 2, -3, 0, 1, 0,
        2, -1, 0, 2, 2, -3, 0, 1, 0,
    ];
}
