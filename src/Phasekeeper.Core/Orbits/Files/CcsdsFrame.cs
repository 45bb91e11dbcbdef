using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Files;

/// <summary>A reference frame that orbit and attitude files may use, and the way from it to TEME.</summary>
internal enum CcsdsFrame
{
    /// <summary>True equator, mean equinox of date.</summary>
    Teme,
    /// <summary>Mean equator and equinox of J2000; ICRF and GCRF are taken as the same.</summary>
    Eme2000,
    /// <summary>Earth-fixed; any realisation of the ITRF (they differ by centimetres).</summary>
    Itrf,
}

internal static class CcsdsFrames
{
    /// <summary>The names that are understood, for messages.</summary>
    public const string Names = "TEME, EME2000 (or J2000, ICRF, GCRF) or an ITRF such as ITRF2000";

    public static bool TryParse(string text, out CcsdsFrame frame)
    {
        var name = text.ToUpperInvariant().Replace("-", "", StringComparison.Ordinal).Replace("_", "", StringComparison.Ordinal);
        frame = name switch
        {
            "TEME" or "TEMEOFDATE" => CcsdsFrame.Teme,
            "EME2000" or "J2000" or "ICRF" or "GCRF" => CcsdsFrame.Eme2000,
            _ => CcsdsFrame.Itrf,
        };
        return frame != CcsdsFrame.Itrf || name.StartsWith("ITRF", StringComparison.Ordinal);
    }

    /// <summary>Matrix that takes coordinates to TEME at a moment.</summary>
    public static Mat3 ToTeme(this CcsdsFrame frame, Instant time) => frame switch
    {
        CcsdsFrame.Teme => Mat3.Identity,
        CcsdsFrame.Eme2000 => EquatorOfDate.Eme2000ToTeme(time),
        _ => EarthRotation.TemeToEcef(time).Transposed(),
    };

    /// <summary>State in TEME; the velocity of an Earth-fixed frame is relative to the turning Earth.</summary>
    public static OrbitState StateToTeme(this CcsdsFrame frame, Instant time, Vec3 positionM, Vec3 velocityMs)
    {
        if (frame == CcsdsFrame.Teme) return new(positionM, velocityMs);
        if (frame == CcsdsFrame.Itrf) return EarthRotation.FromEcef(time, positionM, velocityMs);
        var m = frame.ToTeme(time);
        return new(m * positionM, m * velocityMs);
    }
}
