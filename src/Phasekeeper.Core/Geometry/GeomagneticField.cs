using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>Geomagnetic field, nT, along the geodetic directions.</summary>
public readonly record struct MagneticField(double NorthNanotesla, double EastNanotesla, double DownNanotesla)
{
    /// <summary>Strength |B|, nT.</summary>
    public double TotalNanotesla => Math.Sqrt(NorthNanotesla * NorthNanotesla + EastNanotesla * EastNanotesla + DownNanotesla * DownNanotesla);
}

/// <summary>
/// The Earth's main magnetic field, World Magnetic Model 2020 (NOAA NCEI and BGS, public domain; Chulliat et al. 2020, The US/UK World Magnetic Model for
/// 2020–2025): potential V = a·Σ (a/r)^(n+1)·(g cos mλ + h sin mλ)·P(sin φ'), Schmidt-normalised, to degree 12 with linear change. Reproduces the
/// report's test values to 0.1 nT (test Field_meets_the_published_test_values). Valid 2020.0 to 2025.0. Outside those years the change since 2020 is held at
/// that of the nearer end, and the field is no longer good to better than its own yearly change: used only to tell the South Atlantic region of weak field.
/// </summary>
public static class GeomagneticField
{
    /// <summary>|B| below which a place belongs to the South Atlantic region, nT; chosen: at 575 km and 2025 it outlines 50° S to 5° N, 105° W to 20° E.</summary>
    public const double SouthAtlanticLimitNanotesla = 22_000;

    private const double ReferenceRadiusM = 6_371_200;
    private const int Degree = 12;

    /// <summary>Field at a geodetic place and decimal year.</summary>
    public static MagneticField At(Geodetic place, double decimalYear)
    {
        var years = Math.Clamp(decimalYear - 2020, 0, 5);
        var ecef = Wgs84.ToEcef(place);
        var r = ecef.Length;
        double sinLat = ecef.Z / r, cosLat = Math.Sqrt(ecef.X * ecef.X + ecef.Y * ecef.Y) / r;
        // At a pole the east component has a limit: 1e-10 rad beside it is the same to 1e-5 nT.
        if (cosLat < 1e-10) cosLat = 1e-10;
        double radial = 0, south = 0, east = 0;
        Span<double> p = stackalloc double[Degree + 1], dp = stackalloc double[Degree + 1];
        Span<double> before = stackalloc double[Degree + 1], dBefore = stackalloc double[Degree + 1];
        Span<double> beforeThat = stackalloc double[Degree + 1], dBeforeThat = stackalloc double[Degree + 1];
        before[0] = 1;
        var power = ReferenceRadiusM / r * (ReferenceRadiusM / r);
        var k = 0;
        for (var n = 1; n <= Degree; n++)
        {
            power *= ReferenceRadiusM / r;
            // P(n, m) and its derivative by colatitude, from the two degrees before (Schmidt quasi-normalisation).
            for (var m = 0; m < n; m++)
            {
                double scale = Math.Sqrt(n * n - m * m), back = Math.Sqrt((n - 1) * (n - 1) - m * m);
                var older = m < n - 1 ? beforeThat[m] : 0;
                var dOlder = m < n - 1 ? dBeforeThat[m] : 0;
                p[m] = ((2 * n - 1) * sinLat * before[m] - back * older) / scale;
                dp[m] = ((2 * n - 1) * (sinLat * dBefore[m] - cosLat * before[m]) - back * dOlder) / scale;
            }
            var diagonal = n == 1 ? 1 : Math.Sqrt((2 * n - 1) / (2.0 * n));
            p[n] = diagonal * cosLat * before[n - 1];
            dp[n] = diagonal * (cosLat * dBefore[n - 1] + sinLat * before[n - 1]);
            for (var m = 0; m <= n; m++, k += 4)
            {
                double g = Coefficients[k] + years * Coefficients[k + 2], h = Coefficients[k + 1] + years * Coefficients[k + 3];
                var (sin, cos) = Math.SinCos(m * place.LongitudeRad);
                radial += (n + 1) * power * (g * cos + h * sin) * p[m];
                south -= power * (g * cos + h * sin) * dp[m];
                east += power * m * (g * sin - h * cos) * p[m] / cosLat;
            }
            before.CopyTo(beforeThat);
            dBefore.CopyTo(dBeforeThat);
            p.CopyTo(before);
            dp.CopyTo(dBefore);
        }
        // From the geocentric directions to the geodetic ones.
        var turn = place.LatitudeRad - Math.Asin(Math.Clamp(sinLat, -1, 1));
        var (sinT, cosT) = Math.SinCos(turn);
        return new(-south * cosT - radial * sinT, east, -radial * cosT + south * sinT);
    }

    /// <summary>Field at a geodetic place and moment.</summary>
    public static MagneticField At(Geodetic place, Instant time)
    {
        var date = time.UtcDate;
        var start = Instant.FromUtc(date.Year, 1, 1);
        return At(place, date.Year + (time - start) / (Instant.FromUtc(date.Year + 1, 1, 1) - start));
    }

    /// <summary>True in the South Atlantic region of weak field: |B| below <see cref="SouthAtlanticLimitNanotesla"/>; meant for 400 to 700 km height.</summary>
    public static bool IsSouthAtlantic(Geodetic place, Instant time) => At(place, time).TotalNanotesla < SouthAtlanticLimitNanotesla;

    // g, h (nT) and their change (nT/year) for n = 1…12, m = 0…n: WMM2020.COF.
    private static readonly double[] Coefficients =
    [
        -29404.5, 0, 6.7, 0, -1450.7, 4652.9, 7.7, -25.1,
        -2500, 0, -11.5, 0, 2982, -2991.6, -7.1, -30.2, 1676.8, -734.8, -2.2, -23.9,
        1363.9, 0, 2.8, 0, -2381, -82.2, -6.2, 5.7, 1236.2, 241.8, 3.4, -1, 525.7, -542.9, -12.2, 1.1,
        903.1, 0, -1.1, 0, 809.4, 282, -1.6, 0.2, 86.2, -158.4, -6, 6.9, -309.4, 199.8, 5.4, 3.7,
        47.9, -350.1, -5.5, -5.6,
        -234.4, 0, -0.3, 0, 363.1, 47.7, 0.6, 0.1, 187.8, 208.4, -0.7, 2.5, -140.7, -121.3, 0.1, -0.9,
        -151.2, 32.2, 1.2, 3, 13.7, 99.1, 1, 0.5,
        65.9, 0, -0.6, 0, 65.6, -19.1, -0.4, 0.1, 73, 25, 0.5, -1.8, -121.5, 52.7, 1.4, -1.4,
        -36.2, -64.4, -1.4, 0.9, 13.5, 9, 0, 0.1, -64.7, 68.1, 0.8, 1,
        80.6, 0, -0.1, 0, -76.8, -51.4, -0.3, 0.5, -8.3, -16.8, -0.1, 0.6, 56.5, 2.3, 0.7, -0.7,
        15.8, 23.5, 0.2, -0.2, 6.4, -2.2, -0.5, -1.2, -7.2, -27.2, -0.8, 0.2, 9.8, -1.9, 1, 0.3,
        23.6, 0, -0.1, 0, 9.8, 8.4, 0.1, -0.3, -17.5, -15.3, -0.1, 0.7, -0.4, 12.8, 0.5, -0.2,
        -21.1, -11.8, -0.1, 0.5, 15.3, 14.9, 0.4, -0.3, 13.7, 3.6, 0.5, -0.5, -16.5, -6.9, 0, 0.4,
        -0.3, 2.8, 0.4, 0.1,
        5, 0, -0.1, 0, 8.2, -23.3, -0.2, -0.3, 2.9, 11.1, 0, 0.2, -1.4, 9.8, 0.4, -0.4,
        -1.1, -5.1, -0.3, 0.4, -13.3, -6.2, 0, 0.1, 1.1, 7.8, 0.3, 0, 8.9, 0.4, 0, -0.2,
        -9.3, -1.5, 0, 0.5, -11.9, 9.7, -0.4, 0.2,
        -1.9, 0, 0, 0, -6.2, 3.4, 0, 0, -0.1, -0.2, 0, 0.1, 1.7, 3.5, 0.2, -0.3,
        -0.9, 4.8, -0.1, 0.1, 0.6, -8.6, -0.2, -0.2, -0.9, -0.1, 0, 0.1, 1.9, -4.2, -0.1, 0,
        1.4, -3.4, -0.2, -0.1, -2.4, -0.1, -0.1, 0.2, -3.9, -8.8, 0, 0,
        3, 0, 0, 0, -1.4, 0, -0.1, 0, -2.5, 2.6, 0, 0.1, 2.4, -0.5, 0, 0,
        -0.9, -0.4, 0, 0.2, 0.3, 0.6, -0.1, 0, -0.7, -0.2, 0, 0, -0.1, -1.7, 0, 0.1,
        1.4, -1.6, -0.1, 0, -0.6, -3, -0.1, -0.1, 0.2, -2, -0.1, 0, 3.1, -2.6, -0.1, 0,
        -2, 0, 0, 0, -0.1, -1.2, 0, 0, 0.5, 0.5, 0, 0, 1.3, 1.3, 0, -0.1,
        -1.2, -1.8, 0, 0.1, 0.7, 0.1, 0, 0, 0.3, 0.7, 0, 0, 0.5, -0.1, 0, 0,
        -0.2, 0.6, 0, 0.1, -0.5, 0.2, 0, 0, 0.1, -0.9, 0, 0, -1.1, 0, 0, 0,
        -0.3, 0.5, -0.1, -0.1,
    ];
}
