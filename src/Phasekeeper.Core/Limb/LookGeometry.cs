using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Limb;

/// <summary>
/// Lines of sight of one moment: from the satellite's state and attitude to tangent points and motion terms. Prepared once for all views and rows of an
/// exposure; a look then costs some microseconds, so all rows of an exposure take less than a millisecond.
/// </summary>
public readonly struct LookGeometry
{
    private readonly Mat3 _toEcef;
    private readonly BodyAttitude _attitude;
    private readonly Vec3 _velocityEcefAxesMs;

    /// <summary>Prepares a moment; without an attitude the nominal one of the state is taken.</summary>
    public LookGeometry(Instant time, OrbitState state, BodyAttitude? attitude = null)
    {
        _toEcef = EarthRotation.TemeToEcef(time);
        _attitude = attitude ?? BodyAttitude.Nominal(state);
        SatelliteEcefM = _toEcef * state.PositionTemeM;
        _velocityEcefAxesMs = _toEcef * state.VelocityTemeMs;
    }

    /// <summary>Satellite, Earth-fixed, m.</summary>
    public Vec3 SatelliteEcefM { get; }

    /// <summary>A line of sight by the instrument's angles, deg: azimuth from the velocity towards the left of the track, depression below the body's horizontal.</summary>
    public LookSample Look(double azimuthDeg, double depressionDeg) =>
        Along(SatelliteEcefM, _velocityEcefAxesMs, _toEcef * _attitude.LookTeme(azimuthDeg * (Math.PI / 180), depressionDeg * (Math.PI / 180)));

    /// <summary>One line of sight at a moment; <see cref="Look"/> is cheaper for several.</summary>
    public static LookSample Compute(Instant time, OrbitState state, BodyAttitude? attitude, double azimuthDeg, double depressionDeg) =>
        new LookGeometry(time, state, attitude).Look(azimuthDeg, depressionDeg);

    /// <summary>A line of sight given by Earth-fixed vectors: satellite (m), inertial velocity on Earth-fixed axes (m/s), direction (length 1).</summary>
    public static LookSample Along(Vec3 satelliteEcefM, Vec3 inertialVelocityEcefAxesMs, Vec3 directionEcef)
    {
        var own = Wgs84.ToGeodetic(satelliteEcefM);
        LookOutcome outcome;
        double range;
        Geodetic lowest;
        // Height along a ray has one minimum: a ray that rises at the satellite rises for good.
        if (Vec3.Dot(Wgs84.LocalAxes(own.LatitudeRad, own.LongitudeRad).Up, directionEcef) >= 0)
            (outcome, range, lowest) = (LookOutcome.Rises, 0, own);
        else if (TangentPoint.TryMeetEarth(satelliteEcefM, directionEcef, out range))
            (outcome, lowest) = (LookOutcome.MeetsEarth, Wgs84.ToGeodetic(satelliteEcefM + range * directionEcef) with { AltitudeM = 0 });
        else
        {
            outcome = LookOutcome.Tangent;
            (range, lowest) = TangentPoint.Find(satelliteEcefM, directionEcef);
        }
        var point = satelliteEcefM + range * directionEcef;
        var (east, north, _) = Wgs84.LocalAxes(lowest.LatitudeRad, lowest.LongitudeRad);
        var azimuth = Math.Atan2(Vec3.Dot(directionEcef, east), Vec3.Dot(directionEcef, north));
        return new LookSample
        {
            Outcome = outcome,
            DirectionEcef = directionEcef,
            SatelliteEcefM = satelliteEcefM,
            TangentEcefM = point,
            TangentLatitudeRad = lowest.LatitudeRad,
            TangentLongitudeRad = lowest.LongitudeRad,
            TangentAltitudeM = lowest.AltitudeM,
            AzimuthRad = azimuth < 0 ? azimuth + 2 * Math.PI : azimuth,
            RangeM = range,
            SatelliteSpeedMs = Vec3.Dot(inertialVelocityEcefAxesMs, directionEcef),
            EarthRotationMs = Vec3.Dot(Vec3.Cross(new(0, 0, Wgs84.RotationRateRadPerS), point), directionEcef),
        };
    }
}
