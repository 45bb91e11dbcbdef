using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Geometry;

/// <summary>Apparent local solar time: 12 h where the Sun crosses the meridian.</summary>
public static class LocalSolarTime
{
    /// <summary>Longitude below the Sun, rad east, −π…π.</summary>
    public static double SubsolarLongitudeRad(Instant time)
    {
        var sun = EarthRotation.TemeToEcef(time) * SunPosition.At(time).DirectionTeme;
        return Math.Atan2(sun.Y, sun.X);
    }

    /// <summary>Hours, 0…24, at a longitude (rad east) when the Sun stands over <paramref name="subsolarLongitudeRad"/>.</summary>
    public static double Hours(double longitudeRad, double subsolarLongitudeRad)
    {
        var hours = 12 + (longitudeRad - subsolarLongitudeRad) * (12 / Math.PI);
        hours -= 24 * Math.Floor(hours / 24);
        return hours < 24 ? hours : 0; // a tiny negative number rounds up to 24
    }
}
