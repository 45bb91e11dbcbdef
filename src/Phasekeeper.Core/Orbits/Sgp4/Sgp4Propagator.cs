using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Sgp4;

/// <summary>
/// SGP4 with its deep-space part SDP4: mean elements to position and velocity in TEME.
/// Hoots and Roehrich 1980, Spacetrack Report 3; Vallado, Crawford, Hujsak, Kelso 2006, AIAA 2006-6753 (doi 10.2514/6.2006-6753).
/// Reproduces the published verification states to 1e-6 km and 1e-8 km/s (test Sgp4_reproduces_every_published_state). The theory itself is good to
/// about 1 km at epoch and loses 1–3 km a day in low orbits. A function of the time alone: no memory between calls.
/// </summary>
public sealed class Sgp4Propagator
{
    private const double TwoPi = 2 * Math.PI;
    private static readonly double J3OverJ2 = GravityWgs72.J3 / GravityWgs72.J2;

    private readonly BrouwerOrbit _o;
    private readonly DeepSpace? _deep;
    private readonly bool _simple;
    private readonly double _bStar, _eta, _c1, _c4, _c5, _d2, _d3, _d4, _perigeeDrag, _anomalyDrag, _nodeDrag;
    private readonly double _t2, _t3, _t4, _t5, _anomalyFactor, _sinMeanAnomaly;

    /// <summary>Prepares the constants of one set of elements.</summary>
    public Sgp4Propagator(MeanElements elements)
    {
        Elements = elements;
        _bStar = elements.BStarPerEarthRadius;
        var o = _o = new BrouwerOrbit(elements);
        double e = o.Eccentricity, a = o.SemiMajorAxis, n = o.MeanMotion, beta2 = 1 - e * e, c2 = o.CosI * o.CosI;
        const double re = GravityWgs72.EarthRadiusKm;
        var perigee = a * (1 - e);
        var perigeeKm = (perigee - 1) * re;

        // Density profile: fitting parameter s and (q0 − s)^4, lowered for low perigees.
        var sKm = perigeeKm >= 156 ? 78.0 : perigeeKm < 98 ? 20.0 : perigeeKm - 78;
        var s = sKm / re + 1;
        var q = (120 - sKm) / re;
        var xi = 1 / (a - s);
        _eta = a * e * xi;
        double eta2 = _eta * _eta, eEta = e * _eta, psi2 = Math.Abs(1 - eta2);
        var coefficient = q * q * q * q * xi * xi * xi * xi;
        var coefficient1 = coefficient / Math.Pow(psi2, 3.5);
        double con41 = 3 * c2 - 1, x1mth2 = 1 - c2;
        var cc2 = coefficient1 * n * (a * (1 + 1.5 * eta2 + eEta * (4 + eta2))
            + 0.375 * GravityWgs72.J2 * xi / psi2 * con41 * (8 + 3 * eta2 * (8 + eta2)));
        _c1 = _bStar * cc2;
        var cc3 = e > 1e-4 ? -2 * coefficient * xi * J3OverJ2 * n * o.SinI / e : 0;
        _c4 = 2 * n * coefficient1 * a * beta2 * (_eta * (2 + 0.5 * eta2) + e * (0.5 + 2 * eta2)
            - GravityWgs72.J2 * xi / (a * psi2) * (-3 * con41 * (1 - 2 * eEta + eta2 * (1.5 - 0.5 * eEta))
                + 0.75 * x1mth2 * (2 * eta2 - eEta * (1 + eta2)) * Math.Cos(2 * o.Perigee)));
        _c5 = 2 * coefficient1 * a * beta2 * (1 + 2.75 * (eta2 + eEta) + eEta * eta2);
        _perigeeDrag = _bStar * cc3 * Math.Cos(o.Perigee);
        _anomalyDrag = e > 1e-4 ? -2.0 / 3 * coefficient * _bStar / eEta : 0;
        _nodeDrag = 3.5 * beta2 * o.NodeRateJ2 * _c1;
        _t2 = 1.5 * _c1;
        _anomalyFactor = Cube(1 + _eta * Math.Cos(o.MeanAnomaly));
        _sinMeanAnomaly = Math.Sin(o.MeanAnomaly);

        _simple = perigee < 220 / re + 1;
        if (TwoPi / n >= 225)
        {
            _simple = true;
            _deep = new DeepSpace(o, elements.Epoch);
        }
        if (_simple) return;
        var c1c1 = _c1 * _c1;
        _d2 = 4 * a * xi * c1c1;
        var temp = _d2 * xi * _c1 / 3;
        _d3 = (17 * a + s) * temp;
        _d4 = 0.5 * temp * a * xi * (221 * a + 31 * s) * _c1;
        _t3 = _d2 + 2 * c1c1;
        _t4 = 0.25 * (3 * _d3 + _c1 * (12 * _d2 + 10 * c1c1));
        _t5 = 0.2 * (3 * _d4 + 12 * _c1 * _d3 + 6 * _d2 * _d2 + 15 * c1c1 * (2 * _d2 + c1c1));
    }

    /// <summary>The elements that are propagated.</summary>
    public MeanElements Elements { get; }

    /// <summary>Mean period, s.</summary>
    public double PeriodSeconds => TwoPi / _o.MeanMotion * 60;

    /// <summary>State at a moment; the reason where there is none.</summary>
    public Sgp4Error TryPropagate(Instant time, out OrbitState state) => TryPropagate((time - Elements.Epoch) / 60, out state);

    /// <summary>State at minutes since the epoch; the reason where there is none.</summary>
    public Sgp4Error TryPropagate(double minutes, out OrbitState state)
    {
        state = default;
        var o = _o;
        double t = minutes, tt = t * t;
        var anomaly = o.MeanAnomaly + o.MeanAnomalyRate * t;
        var x = new Sgp4Elements
        {
            Eccentricity = o.Eccentricity,
            Inclination = o.Inclination,
            MeanMotion = o.MeanMotion,
            MeanAnomaly = anomaly,
            Perigee = o.Perigee + o.PerigeeRate * t,
            Node = o.Node + o.NodeRate * t + _nodeDrag * tt,
        };
        double aFactor = 1 - _c1 * t, eChange = _bStar * _c4 * t, lFactor = _t2 * tt;
        if (!_simple)
        {
            var change = _perigeeDrag * t + _anomalyDrag * (Cube(1 + _eta * Math.Cos(anomaly)) - _anomalyFactor);
            x.MeanAnomaly += change;
            x.Perigee -= change;
            aFactor -= _d2 * tt + _d3 * tt * t + _d4 * tt * tt;
            eChange += _bStar * _c5 * (Math.Sin(x.MeanAnomaly) - _sinMeanAnomaly);
            lFactor += _t3 * tt * t + tt * tt * (_t4 + t * _t5);
        }
        _deep?.AddSecular(ref x, t);
        if (!(x.MeanMotion > 0)) return Sgp4Error.MeanMotion;

        var a = Math.Pow(GravityWgs72.Ke / x.MeanMotion, 2.0 / 3) * aFactor * aFactor;
        var n = GravityWgs72.Ke / Math.Pow(a, 1.5);
        x.Eccentricity -= eChange;
        if (!(x.Eccentricity < 1) || x.Eccentricity < -0.001) return Sgp4Error.MeanEccentricity;
        if (x.Eccentricity < 1e-6) x.Eccentricity = 1e-6;
        x.MeanAnomaly += o.MeanMotion * lFactor;
        var longitude = (x.MeanAnomaly + x.Perigee + x.Node) % TwoPi;
        x.Node %= TwoPi;
        x.Perigee %= TwoPi;
        x.MeanAnomaly = (longitude - x.Perigee - x.Node) % TwoPi;

        if (_deep is not null)
        {
            _deep.AddPeriodic(ref x, t);
            if (x.Inclination < 0)
            {
                x.Inclination = -x.Inclination;
                x.Node += Math.PI;
                x.Perigee -= Math.PI;
            }
            if (x.Eccentricity is < 0 or > 1) return Sgp4Error.PerturbedEccentricity;
        }
        return ToState(x, a, n, out state);
    }

    /// <summary>Long-period J3 terms, Kepler's equation, short-period J2 terms.</summary>
    private static Sgp4Error ToState(in Sgp4Elements x, double a, double n, out OrbitState state)
    {
        state = default;
        var (sinI, cosI) = Math.SinCos(x.Inclination);
        var (sinW, cosW) = Math.SinCos(x.Perigee);
        // 1 + cos i goes to zero for a retrograde equatorial orbit; the published code holds it at 1.5e-12.
        var onePlusCos = Math.Abs(cosI + 1) > 1.5e-12 ? 1 + cosI : 1.5e-12;
        var inverse = 1 / (a * (1 - x.Eccentricity * x.Eccentricity));
        var ax = x.Eccentricity * cosW;
        var ay = x.Eccentricity * sinW - inverse * 0.5 * J3OverJ2 * sinI;
        var l = x.MeanAnomaly + x.Perigee + x.Node - inverse * 0.25 * J3OverJ2 * sinI * (3 + 5 * cosI) / onePlusCos * ax;

        var u = (l - x.Node) % TwoPi;
        var anomaly = u;
        double sinE = 0, cosE = 1;
        for (var k = 0; k < 10; k++)
        {
            (sinE, cosE) = Math.SinCos(anomaly);
            var step = (u - ay * cosE + ax * sinE - anomaly) / (1 - cosE * ax - sinE * ay);
            anomaly += Math.Clamp(step, -0.95, 0.95);
            if (Math.Abs(step) < 1e-12) break;
        }

        double eCos = ax * cosE + ay * sinE, eSin = ax * sinE - ay * cosE, e2 = ax * ax + ay * ay;
        var p = a * (1 - e2);
        if (p < 0) return Sgp4Error.SemiLatusRectum;
        var r = a * (1 - eCos);
        double rDot = Math.Sqrt(a) * eSin / r, rvDot = Math.Sqrt(p) / r, beta = Math.Sqrt(1 - e2), part = eSin / (1 + beta);
        var sinU = a / r * (sinE - ay - ax * part);
        var cosU = a / r * (cosE - ax + ay * part);
        double sin2U = 2 * cosU * sinU, cos2U = 1 - 2 * sinU * sinU;

        double c2 = cosI * cosI, con41 = 3 * c2 - 1, x1mth2 = 1 - c2, x7thm1 = 7 * c2 - 1;
        double k1 = 0.5 * GravityWgs72.J2 / p, k2 = k1 / p;
        var radius = r * (1 - 1.5 * k2 * beta * con41) + 0.5 * k1 * x1mth2 * cos2U;
        var (sinSu, cosSu) = Math.SinCos(Math.Atan2(sinU, cosU) - 0.25 * k2 * x7thm1 * sin2U);
        var (sinNode, cosNode) = Math.SinCos(x.Node + 1.5 * k2 * cosI * sin2U);
        var (sinInc, cosInc) = Math.SinCos(x.Inclination + 1.5 * k2 * cosI * sinI * cos2U);
        var radialSpeed = rDot - n * k1 * x1mth2 * sin2U / GravityWgs72.Ke;
        var crossSpeed = rvDot + n * k1 * (x1mth2 * cos2U + 1.5 * con41) / GravityWgs72.Ke;

        double mx = -sinNode * cosInc, my = cosNode * cosInc;
        var outward = new Vec3(mx * sinSu + cosNode * cosSu, my * sinSu + sinNode * cosSu, sinInc * sinSu);
        var along = new Vec3(mx * cosSu - cosNode * sinSu, my * cosSu - sinNode * sinSu, sinInc * cosSu);
        if (radius < 1) return Sgp4Error.Decayed;
        state = new OrbitState(
            radius * GravityWgs72.EarthRadiusKm * 1000 * outward,
            GravityWgs72.SpeedUnitKmPerS * 1000 * (radialSpeed * outward + crossSpeed * along));
        return Sgp4Error.None;
    }

    private static double Cube(double x) => x * x * x;
}
