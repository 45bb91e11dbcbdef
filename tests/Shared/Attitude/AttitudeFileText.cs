using System.Globalization;
using System.Text;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Tests;

/// <summary>
/// Attitude files (CCSDS 504.0-B, AEM version 1) of a body that is turned against the nominal attitude. Axes, turns and quaternions are written out here, by contract.md section 2 (Frames), and
/// share no code with the product's.
/// </summary>
internal static class AttitudeFileText
{
    /// <summary>The body's axes in TEME: nominal (z down, y to the right of the track), turned by a yaw to the left of the track and then by a roll about its own x axis (right-handed), degrees.</summary>
    public static (Vec3 X, Vec3 Y, Vec3 Z) Turned(OrbitState state, double yawDeg = 0, double rollDeg = 0)
    {
        var z = (-state.PositionTemeM).Normalized();
        var y = (-Vec3.Cross(state.PositionTemeM, state.VelocityTemeMs)).Normalized();
        var x = Vec3.Cross(y, z);
        var (sinYaw, cosYaw) = Math.SinCos(yawDeg * Math.PI / 180);
        (x, y) = (cosYaw * x - sinYaw * y, sinYaw * x + cosYaw * y);
        var (sinRoll, cosRoll) = Math.SinCos(rollDeg * Math.PI / 180);
        return (x, cosRoll * y + sinRoll * z, cosRoll * z - sinRoll * y);
    }

    /// <summary>A file with an attitude every <paramref name="stepS"/> seconds from a moment to another.</summary>
    public static string Write(Instant from, Instant to, double stepS, Func<Instant, (Vec3 X, Vec3 Y, Vec3 Z)> axes)
    {
        var text = new StringBuilder("CCSDS_AEM_VERS = 1.0\nCREATION_DATE = 2030-01-01T00:00:00\nORIGINATOR = TEST\nMETA_START\nOBJECT_NAME = KITTIWAKE\nOBJECT_ID = 2030-071A\n");
        text.Append(CultureInfo.InvariantCulture, $"REF_FRAME_A = TEME\nREF_FRAME_B = SC_BODY_1\nATTITUDE_DIR = A2B\nTIME_SYSTEM = UTC\nSTART_TIME = {Stamp(from)}\nSTOP_TIME = {Stamp(to)}\n");
        text.Append("ATTITUDE_TYPE = QUATERNION\nQUATERNION_TYPE = LAST\nMETA_STOP\nDATA_START\n");
        for (var t = from; t <= to; t = t.AddSeconds(stepS))
        {
            var (x, y, z, w) = QuaternionOf(axes(t));
            text.Append(CultureInfo.InvariantCulture, $"{Stamp(t)} {x:F15} {y:F15} {z:F15} {w:F15}\n");
        }
        return text.Append("DATA_STOP\n").ToString();
    }

    private static string Stamp(Instant time) => time.ToString().TrimEnd('Z');

    // Of the matrix whose columns are the body's axes, from its largest component (Shepperd 1978).
    private static (double X, double Y, double Z, double W) QuaternionOf((Vec3 X, Vec3 Y, Vec3 Z) m)
    {
        double xx = m.X.X, yy = m.Y.Y, zz = m.Z.Z, trace = xx + yy + zz;
        double a = m.Y.Z - m.Z.Y, b = m.Z.X - m.X.Z, c = m.X.Y - m.Y.X;
        double d = m.Y.X + m.X.Y, e = m.Z.X + m.X.Z, f = m.Z.Y + m.Y.Z;
        double[] q;
        if (trace >= xx && trace >= yy && trace >= zz) q = [a, b, c, 1 + trace];
        else if (xx >= yy && xx >= zz) q = [1 + xx - yy - zz, d, e, a];
        else if (yy >= zz) q = [d, 1 - xx + yy - zz, f, b];
        else q = [e, f, 1 - xx - yy + zz, c];
        var length = Math.Sqrt(q.Sum(v => v * v));
        return (q[0] / length, q[1] / length, q[2] / length, q[3] / length);
    }
}
