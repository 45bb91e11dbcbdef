using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>
/// One line's light along one ray: ∫ε ds and the moments ∫ε·(−jv)^k/k!·e^(−jκ₀v) ds, k = 0, 1, 2, of the wind v along the ray. With
/// them the fringe of a sample whose κ differs from κ₀ by δ is C0 + C1·δ + C2·δ²; for 220 m/s and the ends of a row (δ/κ₀ = 0.1) the
/// next term is below 2·10⁻⁵ of the fringe.
/// </summary>
public record struct LineOfSightLight(double Emission, double C0Re, double C0Im, double C1Re, double C1Im, double C2Re, double C2Im);

/// <summary>What one row of one view sees: the light of both lines and the place it looks at.</summary>
public sealed record LimbSight
{
    /// <summary>Green line, in photons/(cm³ s)·km.</summary>
    public required LineOfSightLight Green { get; init; }
    /// <summary>Red line, in photons/(cm³ s)·km.</summary>
    public required LineOfSightLight Red { get; init; }
    /// <summary>Speed with which air at rest on the turning Earth recedes along the true line of sight, m/s.</summary>
    public required double MotionMs { get; init; }
    /// <summary>The same along the nominal line of sight: what anyone computes who trusts the attitude data.</summary>
    public required double NominalMotionMs { get; init; }
    /// <summary>Tangent point of the true line of sight.</summary>
    public required GeodeticPoint Tangent { get; init; }
    /// <summary>Direction of the look at the tangent point, degrees clockwise from north.</summary>
    public required double AzimuthDeg { get; init; }
    /// <summary>Eastward wind at the tangent point, m/s.</summary>
    public required double EastwardMs { get; init; }
    /// <summary>Northward wind at the tangent point, m/s.</summary>
    public required double NorthwardMs { get; init; }
    /// <summary>Wind at the tangent point along the line of sight, away from the instrument positive, m/s.</summary>
    public required double LineOfSightWindMs { get; init; }
}

/// <summary>Follows the lines of sight of a view through the atmosphere.</summary>
public sealed class LimbView
{
    // Layers are at least 4.6 km deep; 45 km along the ray is 2.6 km of height where the lowest ray leaves the lowest layer.
    private const double StepKm = 45;
    private const double TopKm = 460;

    private readonly WindField winds;
    private readonly WindMoment windMoment;
    private readonly AirglowMoment airglowMoment;
    private readonly OrbitState state;
    private readonly Vec3 sun;
    private readonly double sinSidereal, cosSidereal, sunLongitude;

    /// <summary>The atmosphere and the satellite at one moment.</summary>
    /// <param name="time">The moment.</param>
    /// <param name="seconds">Seconds since the scenario's start.</param>
    /// <param name="orbit">Orbit.</param>
    /// <param name="winds">Winds.</param>
    /// <param name="airglow">Emissions.</param>
    public LimbView(Instant time, double seconds, CircularOrbit orbit, WindField winds, Airglow airglow)
    {
        this.winds = winds;
        state = orbit.StateAt(time);
        (sinSidereal, cosSidereal) = Math.SinCos(EarthModel.SiderealRad(time));
        sun = EarthModel.ToEarthFixed(EarthModel.SunDirection(time), sinSidereal, cosSidereal);
        sunLongitude = Math.Atan2(sun.Y, sun.X);
        windMoment = winds.At(seconds, sunLongitude);
        airglowMoment = airglow.At(seconds);
    }

    /// <summary>Place under the satellite.</summary>
    public GeodeticPoint SubSatellite => EarthModel.Geodetic(EarthModel.ToEarthFixed(state.PositionTemeM, sinSidereal, cosSidereal));

    /// <summary>Follows the line of sight of a row.</summary>
    /// <param name="azimuthDeg">Azimuth of the view from the velocity towards the left of the track.</param>
    /// <param name="yawErrorDeg">Turn of the body that the attitude data do not show, the same way.</param>
    /// <param name="depressionDeg">Depression of the row.</param>
    /// <param name="greenKappa">κ₀ of the green line, rad per m/s.</param>
    /// <param name="redKappa">κ₀ of the red line, rad per m/s.</param>
    public LimbSight Follow(double azimuthDeg, double yawErrorDeg, double depressionDeg, double greenKappa, double redKappa)
    {
        var lookInertial = Look(azimuthDeg + yawErrorDeg, depressionDeg);
        var motion = MotionAlong(lookInertial);
        var nominalMotion = yawErrorDeg == 0 ? motion : MotionAlong(Look(azimuthDeg, depressionDeg));
        var look = EarthModel.ToEarthFixed(lookInertial, sinSidereal, cosSidereal);
        var satellite = EarthModel.ToEarthFixed(state.PositionTemeM, sinSidereal, cosSidereal);
        var middle = -Vec3.Dot(satellite, look);
        var nearest = (satellite + middle * look).Length;
        var half = Math.Sqrt(Math.Max(0, (EarthModel.EquatorialRadiusM + TopKm * 1000) * (EarthModel.EquatorialRadiusM + TopKm * 1000) - nearest * nearest));
        var steps = 2 * (int)Math.Ceiling(half / (StepKm * 1000));
        LineOfSightLight green = default, red = default;
        for (var k = 0; k <= steps; k++)
        {
            var at = EarthModel.Geodetic(satellite + (middle + half * (2.0 * k / steps - 1)) * look);
            if (at.AltitudeKm > TopKm) continue;
            var sunCosine = Vec3.Dot(at.Up, sun);
            var (g, r) = Airglow.Evaluate(airglowMoment, at, sunCosine, HoursFromNoon(at));
            if (g < 1e-4 && r < 1e-4) continue;
            var (u, v) = winds.Evaluate(windMoment, at);
            var wind = u * Vec3.Dot(at.East, look) + v * Vec3.Dot(at.North, look);
            Add(ref green, g, wind, greenKappa);
            Add(ref red, r, wind, redKappa);
        }
        var stepKm = 2 * half / 1000 / steps;
        Scale(ref green, stepKm);
        Scale(ref red, stepKm);

        var tangent = Tangent(satellite, look, middle);
        var (eastward, northward) = winds.Evaluate(windMoment, tangent);
        double east = Vec3.Dot(tangent.East, look), north = Vec3.Dot(tangent.North, look);
        return new LimbSight
        {
            Green = green,
            Red = red,
            MotionMs = motion,
            NominalMotionMs = nominalMotion,
            Tangent = tangent,
            AzimuthDeg = (Math.Atan2(east, north) * 180 / Math.PI + 360) % 360,
            EastwardMs = eastward,
            NorthwardMs = northward,
            LineOfSightWindMs = eastward * east + northward * north,
        };
    }

    private double HoursFromNoon(in GeodeticPoint at)
    {
        var hours = (Math.Atan2(at.SinLongitude, at.CosLongitude) - sunLongitude) * (12 / Math.PI);
        return hours - 24 * Math.Round(hours / 24);
    }

    private Vec3 Look(double azimuthDeg, double depressionDeg)
    {
        var z = -state.PositionTemeM.Normalized();
        var y = -Vec3.Cross(state.PositionTemeM, state.VelocityTemeMs).Normalized();
        var x = Vec3.Cross(y, z);
        var (sinA, cosA) = Math.SinCos(azimuthDeg * Math.PI / 180);
        var (sinD, cosD) = Math.SinCos(depressionDeg * Math.PI / 180);
        return cosD * (cosA * x - sinA * y) + sinD * z;
    }

    // (ω⊕ × r)·û is the same along the whole ray, so the satellite's own place serves for r.
    private double MotionAlong(Vec3 look) =>
        Vec3.Dot(Vec3.Cross(new Vec3(0, 0, EarthModel.RotationRadPerS), state.PositionTemeM) - state.VelocityTemeMs, look);

    private static GeodeticPoint Tangent(Vec3 satellite, Vec3 look, double middle)
    {
        // The ellipsoid moves the lowest point by some km along the ray: three steps of a parabola through the heights.
        const double d = 20_000;
        var s = middle;
        for (var n = 0; n < 3; n++)
        {
            double a = EarthModel.Geodetic(satellite + (s - d) * look).AltitudeKm, b = EarthModel.Geodetic(satellite + s * look).AltitudeKm,
                c = EarthModel.Geodetic(satellite + (s + d) * look).AltitudeKm;
            s += 0.5 * d * (a - c) / (a - 2 * b + c);
        }
        return EarthModel.Geodetic(satellite + s * look);
    }

    private static void Add(ref LineOfSightLight sum, double emission, double wind, double kappa)
    {
        var (sin, cos) = Math.SinCos(kappa * wind);
        sum.Emission += emission;
        sum.C0Re += emission * cos;
        sum.C0Im -= emission * sin;
        // −jv·(cos − j sin) = −v sin − j v cos
        var first = emission * wind;
        sum.C1Re -= first * sin;
        sum.C1Im -= first * cos;
        var second = 0.5 * first * wind;
        sum.C2Re -= second * cos;
        sum.C2Im += second * sin;
    }

    private static void Scale(ref LineOfSightLight sum, double factor) => sum = new LineOfSightLight(
        sum.Emission * factor, sum.C0Re * factor, sum.C0Im * factor, sum.C1Re * factor, sum.C1Im * factor, sum.C2Re * factor, sum.C2Im * factor);
}
