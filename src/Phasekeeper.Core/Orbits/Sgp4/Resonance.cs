namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// Slow exchange between mean motion and the Earth's uneven longitude field for orbits of about 24 h, and of about 12 h with eccentricity 0.5 and
/// more: integrated from the epoch in steps of 720 min, so the result depends on the time alone. Spacetrack Report 3; AIAA 2006-6753.
/// </summary>
internal sealed class Resonance
{
    /// <summary>The Earth's rotation, rad/min.</summary>
    private const double EarthRate = 4.37526908801129966e-3;

    private readonly bool _halfDay;
    private readonly BrouwerOrbit _orbit;
    private readonly double _siderealAtEpoch, _angleAtEpoch, _angleRate;
    // Terms of the half-day case: amplitude, multiples of perigee and of the resonance angle, phase. Of the day case: amplitude, 0, multiple, phase.
    private readonly (double Amplitude, int Perigee, int Angle, double Phase)[] _terms;

    private Resonance(BrouwerOrbit orbit, bool halfDay, double siderealAtEpoch, double angleAtEpoch, double angleRate,
        (double, int, int, double)[] terms)
    {
        (_orbit, _halfDay, _siderealAtEpoch, _angleAtEpoch, _angleRate, _terms) = (orbit, halfDay, siderealAtEpoch, angleAtEpoch, angleRate, terms);
    }

    /// <summary>The resonance of an orbit, or null when it has none; rates are the lunar-solar ones in rad/min.</summary>
    public static Resonance? Of(BrouwerOrbit orbit, double siderealAtEpoch, double mRate, double perigeeRate, double nodeRate)
    {
        double n = orbit.MeanMotion, e = orbit.Eccentricity;
        if (n is > 0.0034906585 and < 0.0052359877)
        {
            var angle = (orbit.MeanAnomaly + orbit.Node + orbit.Perigee - siderealAtEpoch) % (2 * Math.PI);
            var rate = orbit.MeanAnomalyRate + orbit.PerigeeRate + orbit.NodeRate - EarthRate + mRate + perigeeRate + nodeRate - n;
            return new(orbit, false, siderealAtEpoch, angle, rate, DayTerms(orbit));
        }
        if (n is >= 8.26e-3 and <= 9.24e-3 && e >= 0.5)
        {
            var angle = (orbit.MeanAnomaly + 2 * orbit.Node - 2 * siderealAtEpoch) % (2 * Math.PI);
            var rate = orbit.MeanAnomalyRate + mRate + 2 * (orbit.NodeRate + nodeRate - EarthRate) - n;
            return new(orbit, true, siderealAtEpoch, angle, rate, HalfDayTerms(orbit));
        }
        return null;
    }

    /// <summary>Mean motion (rad/min) and mean anomaly (rad) at minutes since epoch, given perigee and node there.</summary>
    public (double MeanMotion, double MeanAnomaly) At(double minutes, double perigee, double node)
    {
        double at = 0, angle = _angleAtEpoch, n = _orbit.MeanMotion;
        var step = minutes >= 0 ? 720.0 : -720.0;
        var (acceleration, rate, jerk) = Derivatives(at, angle, n);
        while (Math.Abs(minutes - at) >= 720)
        {
            angle += rate * step + acceleration * (720.0 * 720 / 2);
            n += acceleration * step + jerk * (720.0 * 720 / 2);
            at += step;
            (acceleration, rate, jerk) = Derivatives(at, angle, n);
        }
        var rest = minutes - at;
        n += acceleration * rest + jerk * rest * rest / 2;
        angle += rate * rest + acceleration * rest * rest / 2;
        var sidereal = (_siderealAtEpoch + minutes * EarthRate) % (2 * Math.PI);
        return (n, _halfDay ? angle - 2 * node + 2 * sidereal : angle - node - perigee + sidereal);
    }

    private (double Acceleration, double Rate, double Jerk) Derivatives(double minutes, double angle, double n)
    {
        var perigee = _orbit.Perigee + _orbit.PerigeeRate * minutes;
        double acceleration = 0, slope = 0;
        foreach (var (amplitude, ofPerigee, ofAngle, phase) in _terms)
        {
            var (sin, cos) = Math.SinCos(ofPerigee * perigee + ofAngle * angle - phase);
            acceleration += amplitude * sin;
            slope += ofAngle * amplitude * cos;
        }
        var rate = n + _angleRate;
        return (acceleration, rate, slope * rate);
    }

    private static (double, int, int, double)[] DayTerms(BrouwerOrbit orbit)
    {
        double ee = orbit.Eccentricity * orbit.Eccentricity, c = orbit.CosI, s = orbit.SinI, n = orbit.MeanMotion;
        var inverseA = Math.Pow(n / GravityWgs72.Ke, 2.0 / 3);
        double g200 = 1 + ee * (-2.5 + 0.8125 * ee), g310 = 1 + 2 * ee, g300 = 1 + ee * (-6 + 6.60937 * ee);
        double f220 = 0.75 * (1 + c) * (1 + c), f311 = 0.9375 * s * s * (1 + 3 * c) - 0.75 * (1 + c), f330 = 1.875 * (1 + c) * (1 + c) * (1 + c);
        var common = 3 * n * n * inverseA * inverseA;
        return
        [
            (common * f311 * g310 * 2.1460748e-6 * inverseA, 0, 1, 0.13130908),
            (2 * common * f220 * g200 * 1.7891679e-6, 0, 2, 2 * 2.8843198),
            (3 * common * f330 * g300 * 2.2123015e-7 * inverseA, 0, 3, 3 * 0.37448087),
        ];
    }

    private static (double, int, int, double)[] HalfDayTerms(BrouwerOrbit orbit)
    {
        double e = orbit.Eccentricity, s = orbit.SinI, c = orbit.CosI, ss = s * s, cc = c * c, n = orbit.MeanMotion;
        double Cubic(double k0, double k1, double k2, double k3) => k0 + k1 * e + k2 * e * e + k3 * e * e * e;

        // Eccentricity functions, fitted by polynomials in the published theory.
        var g201 = -0.306 - (e - 0.64) * 0.440;
        double g211, g310, g322, g410, g422, g520, g533, g521, g532;
        if (e <= 0.65)
        {
            g211 = Cubic(3.616, -13.2470, 16.2900, 0);
            g310 = Cubic(-19.302, 117.3900, -228.4190, 156.5910);
            g322 = Cubic(-18.9068, 109.7927, -214.6334, 146.5816);
            g410 = Cubic(-41.122, 242.6940, -471.0940, 313.9530);
            g422 = Cubic(-146.407, 841.8800, -1629.014, 1083.4350);
            g520 = Cubic(-532.114, 3017.977, -5740.032, 3708.2760);
        }
        else
        {
            g211 = Cubic(-72.099, 331.819, -508.738, 266.724);
            g310 = Cubic(-346.844, 1582.851, -2415.925, 1246.113);
            g322 = Cubic(-342.585, 1554.908, -2366.899, 1215.972);
            g410 = Cubic(-1052.797, 4758.686, -7193.992, 3651.957);
            g422 = Cubic(-3581.690, 16178.110, -24462.770, 12422.520);
            g520 = e > 0.715 ? Cubic(-5149.66, 29936.92, -54087.36, 31324.56) : Cubic(1464.74, -4664.75, 3763.64, 0);
        }
        if (e < 0.7)
        {
            g533 = Cubic(-919.22770, 4988.6100, -9064.7700, 5542.21);
            g521 = Cubic(-822.71072, 4568.6173, -8491.4146, 5337.524);
            g532 = Cubic(-853.66600, 4690.2500, -8624.7700, 5341.4);
        }
        else
        {
            g533 = Cubic(-37995.780, 161616.52, -229838.20, 109377.94);
            g521 = Cubic(-51752.104, 218913.95, -309468.16, 146349.42);
            g532 = Cubic(-40023.880, 170470.89, -242699.48, 115605.82);
        }

        // Inclination functions.
        double f220 = 0.75 * (1 + 2 * c + cc), f221 = 1.5 * ss;
        double f321 = 1.875 * s * (1 - 2 * c - 3 * cc), f322 = -1.875 * s * (1 + 2 * c - 3 * cc);
        double f441 = 35 * ss * f220, f442 = 39.3750 * ss * ss;
        var f522 = 9.84375 * s * (ss * (1 - 2 * c - 5 * cc) + 0.33333333 * (-2 + 4 * c + 6 * cc));
        var f523 = s * (4.92187512 * ss * (-2 - 4 * c + 10 * cc) + 6.56250012 * (1 + 2 * c - 3 * cc));
        var f542 = 29.53125 * s * (2 - 8 * c + cc * (-12 + 8 * c + 10 * cc));
        var f543 = 29.53125 * s * (-2 - 8 * c + cc * (12 + 8 * c - 10 * cc));

        var inverseA = Math.Pow(n / GravityWgs72.Ke, 2.0 / 3);
        var k2 = 3 * n * n * inverseA * inverseA;
        double k3 = k2 * inverseA, k4 = k3 * inverseA, k5 = k4 * inverseA;
        const double root22 = 1.7891679e-6, root32 = 3.7393792e-7, root44 = 7.3636953e-9, root52 = 1.1428639e-7, root54 = 2.1765803e-9;
        const double g22 = 5.7686396, g32 = 0.95240898, g44 = 1.8014998, g52 = 1.0508330, g54 = 4.4108898;
        return
        [
            (k2 * root22 * f220 * g201, 2, 1, g22), (k2 * root22 * f221 * g211, 0, 1, g22),
            (k3 * root32 * f321 * g310, 1, 1, g32), (k3 * root32 * f322 * g322, -1, 1, g32),
            (2 * k4 * root44 * f441 * g410, 2, 2, g44), (2 * k4 * root44 * f442 * g422, 0, 2, g44),
            (k5 * root52 * f522 * g520, 1, 1, g52), (k5 * root52 * f523 * g532, -1, 1, g52),
            (2 * k5 * root54 * f542 * g521, 1, 2, g54), (2 * k5 * root54 * f543 * g533, -1, 2, g54),
        ];
    }
}
