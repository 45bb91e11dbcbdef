using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.Environment;

/// <summary>
/// The truth of Kittiwake's orbit: a circle whose node and argument of latitude advance at the secular rates of J2
/// (Vallado, Fundamentals of Astrodynamics, section 9.6). The orbit file of the mission is a table of it. Frame TEME, metres and seconds.
/// </summary>
public sealed class CircularOrbit
{
    /// <summary>Height of the circle above the equatorial radius, m.</summary>
    public const double HeightM = 565_000;
    /// <summary>Inclination, degrees.</summary>
    public const double InclinationDeg = 50;

    private readonly Instant epoch;
    private readonly double radiusM = EarthModel.EquatorialRadiusM + HeightM;
    private readonly double nodeRad, nodeRate, argumentRad, argumentRate, sinI, cosI;

    /// <summary>
    /// Orbit that at <paramref name="epoch"/> has its node 60° east of the Sun, so that the beta angle falls from about +48° to
    /// −32° in 30 days of northern spring.
    /// </summary>
    public CircularOrbit(Instant epoch)
    {
        this.epoch = epoch;
        (sinI, cosI) = Math.SinCos(InclinationDeg * Math.PI / 180);
        var meanMotion = Math.Sqrt(EarthModel.GravitationalParameter / (radiusM * radiusM * radiusM));
        var ratio = EarthModel.EquatorialRadiusM / radiusM;
        var j = 1.5 * EarthModel.J2 * ratio * ratio;
        nodeRate = -j * meanMotion * cosI;
        argumentRate = meanMotion * (1 + j * (3 - 4 * sinI * sinI));
        var sun = EarthModel.SunDirection(epoch);
        nodeRad = Math.Atan2(sun.Y, sun.X) + Math.PI / 3;
        argumentRad = 0.7;
    }

    /// <summary>Time from one ascending node to the next, s.</summary>
    public double PeriodS => 2 * Math.PI / argumentRate;

    /// <summary>Radius of the circle, m.</summary>
    public double RadiusM => radiusM;

    /// <summary>State at a moment; the velocity is the exact derivative of the position.</summary>
    public OrbitState StateAt(Instant time)
    {
        var t = time - epoch;
        var (sinNode, cosNode) = Math.SinCos(nodeRad + nodeRate * t);
        var (sinU, cosU) = Math.SinCos(argumentRad + argumentRate * t);
        var p = new Vec3(cosNode, sinNode, 0);
        var q = new Vec3(-sinNode * cosI, cosNode * cosI, sinI);
        var unit = cosU * p + sinU * q;
        var velocity = argumentRate * (cosU * q - sinU * p) + nodeRate * new Vec3(-unit.Y, unit.X, 0);
        return new OrbitState(radiusM * unit, radiusM * velocity);
    }

    /// <summary>The last ascending node at or before a moment.</summary>
    public Instant NodeAtOrBefore(Instant time)
    {
        var turns = Math.Floor((argumentRad + argumentRate * (time - epoch)) / (2 * Math.PI));
        // Rounding may put a moment that is itself a node on either side of it.
        var next = NodeOfTurn(turns + 1);
        if (next <= time) return next;
        var node = NodeOfTurn(turns);
        return node <= time ? node : NodeOfTurn(turns - 1);
    }

    /// <summary>Fraction of the orbit since the ascending node, 0…1.</summary>
    public double PhaseAt(Instant time)
    {
        var turns = (argumentRad + argumentRate * (time - epoch)) / (2 * Math.PI);
        return turns - Math.Floor(turns);
    }

    /// <summary>Beta angle, rad: elevation of the Sun above the orbit's plane, positive towards r × v.</summary>
    public double BetaRad(Instant time)
    {
        var state = StateAt(time);
        var normal = Vec3.Cross(state.PositionTemeM, state.VelocityTemeMs).Normalized();
        return Math.Asin(Vec3.Dot(normal, EarthModel.SunDirection(time)));
    }

    /// <summary>Share of the Sun that is seen, 0 in shadow to 1: a cylinder of the Earth's radius with a penumbra 30 km wide.</summary>
    public static double SunlitShare(Vec3 positionM, Vec3 sun)
    {
        var along = Vec3.Dot(positionM, sun);
        if (along >= 0) return 1;
        var x = ((positionM - along * sun).Length - EarthModel.EquatorialRadiusM + 15_000) / 30_000;
        if (x <= 0) return 0;
        return x >= 1 ? 1 : x * x * (3 - 2 * x);
    }

    private Instant NodeOfTurn(double turn) => epoch.AddSeconds((2 * Math.PI * turn - argumentRad) / argumentRate);
}
