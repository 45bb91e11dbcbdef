using System.Globalization;
using System.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;

namespace Phasekeeper.Demo.Profile;

/// <summary>
/// Writes the orbit as a CCSDS orbit ephemeris message (502.0-B, OEM in KVN): TEME, UTC, km and km/s, a state every 120 s, to be
/// interpolated by Hermite polynomials of degree 7 (which then reproduce the orbit to far below a millimetre).
/// </summary>
public static class OrbitFile
{
    private const int StepS = 120;

    /// <summary>Text of the file.</summary>
    /// <param name="orbit">Orbit.</param>
    /// <param name="from">First state.</param>
    /// <param name="to">The last state lies at or after this.</param>
    /// <param name="created">Creation date in the header.</param>
    public static string Write(CircularOrbit orbit, Instant from, Instant to, Instant created)
    {
        var count = (int)Math.Ceiling((to - from) / StepS);
        var text = new StringBuilder(400 + count * 120);
        text.Append("CCSDS_OEM_VERS = 2.0\n");
        text.Append(CultureInfo.InvariantCulture, $"CREATION_DATE = {Stamp(created)}\nORIGINATOR = KITTIWAKE FLIGHT DYNAMICS\n\nMETA_START\n");
        text.Append("OBJECT_NAME = KITTIWAKE\nOBJECT_ID = 2030-071A\nCENTER_NAME = EARTH\nREF_FRAME = TEME\nTIME_SYSTEM = UTC\n");
        text.Append(CultureInfo.InvariantCulture, $"START_TIME = {Stamp(from)}\nSTOP_TIME = {Stamp(from.AddSeconds((double)count * StepS))}\n");
        text.Append("INTERPOLATION = HERMITE\nINTERPOLATION_DEGREE = 7\nMETA_STOP\n\n");
        for (var i = 0; i <= count; i++)
        {
            var time = from.AddSeconds((double)i * StepS);
            var s = orbit.StateAt(time);
            text.Append(CultureInfo.InvariantCulture, $"{Stamp(time)} {s.PositionTemeM.X / 1000:F7} {s.PositionTemeM.Y / 1000:F7} {s.PositionTemeM.Z / 1000:F7} ");
            text.Append(CultureInfo.InvariantCulture, $"{s.VelocityTemeMs.X / 1000:F10} {s.VelocityTemeMs.Y / 1000:F10} {s.VelocityTemeMs.Z / 1000:F10}\n");
        }
        return text.ToString();
    }

    // CCSDS files carry no zone letter here: TIME_SYSTEM says it.
    private static string Stamp(Instant time) => time.ToString().TrimEnd('Z');
}
