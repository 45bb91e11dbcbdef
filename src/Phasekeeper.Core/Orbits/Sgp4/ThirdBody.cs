namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// Pull of the Sun or the Moon on a deep-space orbit: secular rates and long-period terms, to first order in the ratio of distances.
/// Hujsak 1979, Spacetrack Report 1; constants as in Spacetrack Report 3 and AIAA 2006-6753. Angles in rad, times in minutes.
/// </summary>
internal sealed class ThirdBody
{
    private readonly double _anomalyAtEpoch, _rate, _eccentricity;
    private readonly double _e2, _e3, _i2, _i3, _l2, _l3, _l4, _gh2, _gh3, _gh4, _h2, _h3;

    /// <summary>Long-period changes of eccentricity, inclination, mean anomaly, and of the angles that perigee and node are made of.</summary>
    public readonly record struct Periodic(double E, double I, double L, double Gh, double H);

    /// <summary>Secular rates a minute.</summary>
    public double ERate { get; }
    public double IRate { get; }
    public double MRate { get; }
    public double PerigeeRate { get; }
    public double NodeRate { get; }

    /// <summary>The Sun; <paramref name="day"/> = days since 1899-12-31T12:00.</summary>
    public static ThirdBody Sun(BrouwerOrbit orbit, double day)
    {
        var (sinNode, cosNode) = Math.SinCos(orbit.Node);
        return new(orbit, -0.98088458, 0.1945905, 0.39785416, 0.91744867, sinNode, cosNode,
            strength: 2.9864797e-6, eccentricity: 0.01675, rate: 1.19459e-5, anomalyAtEpoch: (6.2565837 + 0.017201977 * day) % (2 * Math.PI));
    }

    /// <summary>The Moon; <paramref name="day"/> = days since 1899-12-31T12:00.</summary>
    public static ThirdBody Moon(BrouwerOrbit orbit, double day)
    {
        var moonNode = (4.5236020 - 9.2422029e-4 * day) % (2 * Math.PI);
        var (sinMoonNode, cosMoonNode) = Math.SinCos(moonNode);
        // Inclination, node and perigee of the Moon's orbit, turned from the ecliptic to the equator.
        var cosI = 0.91375164 - 0.03568096 * cosMoonNode;
        var sinI = Math.Sqrt(1 - cosI * cosI);
        var sinH = 0.089683511 * sinMoonNode / sinI;
        var cosH = Math.Sqrt(1 - sinH * sinH);
        var perigee = 5.8351514 + 0.0019443680 * day;
        var turn = Math.Atan2(0.39785416 * sinMoonNode / sinI, cosH * cosMoonNode + 0.91744867 * sinH * sinMoonNode);
        var (sinG, cosG) = Math.SinCos(perigee + turn - moonNode);
        var (sinNode, cosNode) = Math.SinCos(orbit.Node);
        return new(orbit, sinG, cosG, sinI, cosI, sinNode * cosH - cosNode * sinH, cosH * cosNode + sinH * sinNode,
            strength: 4.7968065e-7, eccentricity: 0.05490, rate: 1.5835218e-4,
            anomalyAtEpoch: (4.7199672 + 0.22997150 * day - perigee) % (2 * Math.PI));
    }

    private ThirdBody(BrouwerOrbit orbit, double sinG, double cosG, double sinI, double cosI, double sinH, double cosH,
        double strength, double eccentricity, double rate, double anomalyAtEpoch)
    {
        (_eccentricity, _rate, _anomalyAtEpoch) = (eccentricity, rate, anomalyAtEpoch);
        double e = orbit.Eccentricity, ee = e * e, beta2 = 1 - ee, beta = Math.Sqrt(beta2);
        double si = orbit.SinI, ci = orbit.CosI;
        var (sinW, cosW) = Math.SinCos(orbit.Perigee);

        // Direction cosines between the body's orbit and the satellite's (a), and referred to perigee (x).
        double a1 = cosG * cosH + sinG * cosI * sinH, a3 = -sinG * cosH + cosG * cosI * sinH;
        double a7 = -cosG * sinH + sinG * cosI * cosH, a8 = sinG * sinI;
        double a9 = sinG * sinH + cosG * cosI * cosH, a10 = cosG * sinI;
        double a2 = ci * a7 + si * a8, a4 = ci * a9 + si * a10, a5 = -si * a7 + ci * a8, a6 = -si * a9 + ci * a10;
        double x1 = a1 * cosW + a2 * sinW, x2 = a3 * cosW + a4 * sinW, x3 = -a1 * sinW + a2 * cosW, x4 = -a3 * sinW + a4 * cosW;
        double x5 = a5 * sinW, x6 = a6 * sinW, x7 = a5 * cosW, x8 = a6 * cosW;

        double z31 = 12 * x1 * x1 - 3 * x3 * x3, z32 = 24 * x1 * x2 - 6 * x3 * x4, z33 = 12 * x2 * x2 - 3 * x4 * x4;
        var z1 = 2 * (3 * (a1 * a1 + a2 * a2) + z31 * ee) + beta2 * z31;
        var z2 = 2 * (6 * (a1 * a3 + a2 * a4) + z32 * ee) + beta2 * z32;
        var z3 = 2 * (3 * (a3 * a3 + a4 * a4) + z33 * ee) + beta2 * z33;
        var z11 = -6 * a1 * a5 + ee * (-24 * x1 * x7 - 6 * x3 * x5);
        var z12 = -6 * (a1 * a6 + a3 * a5) + ee * (-24 * (x2 * x7 + x1 * x8) - 6 * (x3 * x6 + x4 * x5));
        var z13 = -6 * a3 * a6 + ee * (-24 * x2 * x8 - 6 * x4 * x6);
        var z21 = 6 * a2 * a5 + ee * (24 * x1 * x5 - 6 * x3 * x7);
        var z22 = 6 * (a4 * a5 + a2 * a6) + ee * (24 * (x2 * x5 + x1 * x6) - 6 * (x4 * x7 + x3 * x8));
        var z23 = 6 * a4 * a6 + ee * (24 * x2 * x6 - 6 * x4 * x8);

        double s3 = strength / orbit.MeanMotion, s2 = -0.5 * s3 / beta, s4 = s3 * beta, s1 = -15 * e * s4;
        double s5 = x1 * x3 + x2 * x4, s6 = x2 * x3 + x1 * x4, s7 = x2 * x4 - x1 * x3;

        (_e2, _e3) = (2 * s1 * s6, 2 * s1 * s7);
        (_i2, _i3) = (2 * s2 * z12, 2 * s2 * (z13 - z11));
        (_l2, _l3, _l4) = (-2 * s3 * z2, -2 * s3 * (z3 - z1), -2 * s3 * (-21 - 9 * ee) * eccentricity);
        (_gh2, _gh3, _gh4) = (2 * s4 * z32, 2 * s4 * (z33 - z31), -18 * s4 * eccentricity);
        (_h2, _h3) = (-2 * s2 * z22, -2 * s2 * (z23 - z21));

        ERate = s1 * rate * s5;
        IRate = s2 * rate * (z11 + z13);
        MRate = -rate * s3 * (z1 + z3 - 14 - 6 * ee);
        // Within 3° of the equator the node is not defined well enough to be turned.
        const double nearEquator = 5.2359877e-2;
        if (orbit.Inclination >= nearEquator && orbit.Inclination <= Math.PI - nearEquator)
            NodeRate = -rate * s2 * (z21 + z23) / si;
        PerigeeRate = s4 * rate * (z31 + z33 - 6) - ci * NodeRate;
    }

    /// <summary>Long-period terms at minutes since epoch.</summary>
    public Periodic At(double minutes)
    {
        var mean = _anomalyAtEpoch + _rate * minutes;
        var (sin, cos) = Math.SinCos(mean + 2 * _eccentricity * Math.Sin(mean));
        double f2 = 0.5 * sin * sin - 0.25, f3 = -0.5 * sin * cos;
        return new(_e2 * f2 + _e3 * f3, _i2 * f2 + _i3 * f3, _l2 * f2 + _l3 * f3 + _l4 * sin,
            _gh2 * f2 + _gh3 * f3 + _gh4 * sin, _h2 * f2 + _h3 * f3);
    }
}
