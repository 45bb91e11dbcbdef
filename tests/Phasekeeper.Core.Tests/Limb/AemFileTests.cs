using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Tests.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Limb;

public class AemFileTests
{
    private const double OneThousandthOfAnArcsecond = 1e-3 * Math.PI / 648000;
    private static readonly Instant Epoch = Instant.FromUtc(2031, 3, 21, 21);

    private static string File(IEnumerable<string> lines, string frames = "REF_FRAME_A = EME2000\nREF_FRAME_B = SC_BODY_1", string direction = "A2B", string type = "LAST", string extra = "") =>
        $"CCSDS_AEM_VERS = 1.0\nCREATION_DATE = 2031-03-20T00:00:00\nORIGINATOR = TEST\nMETA_START\nOBJECT_NAME = KITTIWAKE\nOBJECT_ID = 2031-001A\nCENTER_NAME = EARTH\n{frames}\n"
        + $"ATTITUDE_DIR = {direction}\nTIME_SYSTEM = UTC\nSTART_TIME = 2031-03-21T21:00:00\nSTOP_TIME = 2031-03-21T21:10:00\nATTITUDE_TYPE = QUATERNION\nQUATERNION_TYPE = {type}\n{extra}META_STOP\n"
        + "DATA_START\n" + string.Concat(lines.Select(l => l + "\n")) + "DATA_STOP\n";

    private static string Line(double seconds, Quaternion q, bool scalarFirst = false) => scalarFirst
        ? FormattableString.Invariant($"{Epoch.AddSeconds(seconds).ToString()[..^1]} {q.W:F15} {q.X:F15} {q.Y:F15} {q.Z:F15}")
        : FormattableString.Invariant($"{Epoch.AddSeconds(seconds).ToString()[..^1]} {q.X:F15} {q.Y:F15} {q.Z:F15} {q.W:F15}");

    private static Quaternion Spin(double seconds) => Quaternion.FromAxisAngle(new Vec3(1, 2, -2) / 3, 0.3 + 1e-3 * seconds);

    private static double Off(BodyAttitude a, BodyAttitude b) => (a.XTeme - b.XTeme).Length + (a.YTeme - b.YTeme).Length + (a.ZTeme - b.ZTeme).Length;

    private static BodyAttitude At(string text, double seconds)
    {
        var file = AemFile.Read("a.aem", text);
        Assert.True(file.Ok, file.Message);
        Assert.True(file.Value.TryGetAttitude(Epoch.AddSeconds(seconds), out var attitude));
        return attitude;
    }

    [Fact]
    public void Every_way_of_writing_a_rotation_means_the_same_attitude()
    {
        var times = new double[] { 0, 60, 120, 600 };
        const string teme = "REF_FRAME_A = TEME\nREF_FRAME_B = SC_BODY_1", swapped = "REF_FRAME_A = SC_BODY_1\nREF_FRAME_B = TEME";
        var expected = BodyAttitude.FromQuaternion(Spin(90));
        Assert.Equal(0, Off(expected, At(File(times.Select(t => Line(t, Spin(t))), teme), 90)), OneThousandthOfAnArcsecond);
        Assert.Equal(0, Off(expected, At(File(times.Select(t => Line(t, Spin(t), true)), teme, type: "FIRST"), 90)), OneThousandthOfAnArcsecond);
        Assert.Equal(0, Off(expected, At(File(times.Select(t => Line(t, Spin(t).Conjugate())), teme, "B2A"), 90)), OneThousandthOfAnArcsecond);
        Assert.Equal(0, Off(expected, At(File(times.Select(t => Line(t, Spin(t).Conjugate())), swapped), 90)), OneThousandthOfAnArcsecond);
        Assert.Equal(0, Off(expected, At(File(times.Select(t => Line(t, Spin(t))), swapped, "B2A"), 90)), OneThousandthOfAnArcsecond);
        // q and −q are the same rotation.
        Assert.Equal(0, Off(expected, At(File(times.Select((t, i) => Line(t, i % 2 == 0 ? Spin(t) : new(-Spin(t).W, -Spin(t).X, -Spin(t).Y, -Spin(t).Z))), teme), 90)), OneThousandthOfAnArcsecond);
        Assert.Equal(0, Off(expected, At(File(times.Select(t => Line(t, Spin(t))), teme, extra: "INTERPOLATION_METHOD = LAGRANGE\nINTERPOLATION_DEGREE = 3\n"), 90)), 1e-5);
    }

    // The sense of the quaternion: CCSDS 504.0-B, a rotation about z by +90° takes the x axis of A to the y direction of A.
    [Fact]
    public void A_quarter_turn_about_z_puts_the_bodys_x_axis_on_the_frames_y_axis()
    {
        var half = Math.Sqrt(0.5);
        var q = new Quaternion(half, 0, 0, half);
        var attitude = At(File([Line(0, q), Line(600, q)], "REF_FRAME_A = TEME\nREF_FRAME_B = SC_BODY_1"), 300);
        Assert.Equal(0, (attitude.XTeme - new Vec3(0, 1, 0)).Length, 1e-14);
    }

    [Fact]
    public void An_inertial_attitude_in_eme2000_is_turned_to_teme()
    {
        var attitude = At(File([Line(0, Quaternion.Identity), Line(600, Quaternion.Identity)]), 300);
        var m = EquatorOfDate.Eme2000ToTeme(Epoch.AddSeconds(300));
        Assert.Equal(0, (attitude.XTeme - m * new Vec3(1, 0, 0)).Length, 1e-14);
        // 31 years of precession: 0.4 degrees.
        Assert.InRange((attitude.XTeme - new Vec3(1, 0, 0)).Length, 0.4 * Math.PI / 180, 0.5 * Math.PI / 180);
    }

    [Fact]
    public void A_file_of_the_nominal_attitude_gives_the_nominal_look()
    {
        var orbit = new CircularOrbit(Epoch, 6_953_137, 0.5, 1, new TimeStretch(Epoch, Epoch.AddSeconds(600)));
        Quaternion Nominal(double s)
        {
            orbit.TryGetState(Epoch.AddSeconds(s), out var state);
            var b = BodyAttitude.Nominal(state);
            // Quaternion of the matrix with the body's axes as columns (Shepperd's first case; its trace is large enough here).
            var w = Math.Sqrt(Math.Max(1e-6, 1 + b.XTeme.X + b.YTeme.Y + b.ZTeme.Z)) / 2;
            return new Quaternion(w, (b.YTeme.Z - b.ZTeme.Y) / (4 * w), (b.ZTeme.X - b.XTeme.Z) / (4 * w), (b.XTeme.Y - b.YTeme.X) / (4 * w)).Normalized();
        }
        var text = File(Enumerable.Range(0, 61).Select(i => Line(i * 10, Nominal(i * 10))), "REF_FRAME_A = TEME\nREF_FRAME_B = SC_BODY_1");
        orbit.TryGetState(Epoch.AddSeconds(305), out var at);
        var nominal = LookGeometry.Compute(Epoch.AddSeconds(305), at, null, 45, 20);
        var look = LookGeometry.Compute(Epoch.AddSeconds(305), at, At(text, 305), 45, 20);
        Assert.Equal(nominal.TangentAltitudeM, look.TangentAltitudeM, 0.1);
        Assert.Equal(nominal.MotionMs, look.MotionMs, 1e-3);
    }

    [Fact]
    public void There_is_no_attitude_outside_the_file()
    {
        var file = AemFile.Read("a.aem", File([Line(0, Spin(0)), Line(60, Spin(60))], extra: "USEABLE_START_TIME = 2031-03-21T21:00:10\n")).Value;
        Assert.False(file.TryGetAttitude(Epoch.AddSeconds(9.999), out _));
        Assert.True(file.TryGetAttitude(Epoch.AddSeconds(10), out _));
        Assert.True(file.TryGetAttitude(file.End, out _));
        Assert.False(file.TryGetAttitude(Epoch.AddSeconds(60.001), out _));
    }

    [Fact]
    public void All_mistakes_are_reported_with_their_lines()
    {
        var text = File([Line(0, Spin(0))], "REF_FRAME_A = LVLH\nREF_FRAME_B = SC_BODY_1", "SIDEWAYS", extra: "INTERPOLATION_METHOD = HERMITE\n");
        Assert.Equal(
        [
            "a.aem, line 8: found REF_FRAME_A = LVLH; expected TEME, EME2000 (or J2000, ICRF, GCRF) or an ITRF such as ITRF2000.",
            "a.aem, line 10: found ATTITUDE_DIR = SIDEWAYS; expected A2B or B2A.",
            "a.aem, line 16: found INTERPOLATION_METHOD = HERMITE; expected LINEAR or SLERP or LAGRANGE.",
        ], AemFile.Read("a.aem", text).Errors.Select(e => e.ToString()));
        var lines = AemFile.Read("a.aem", File([Line(0, Spin(0)), "2031-03-21T21:01:00 1 1 0 0", "2031-03-21T21:02:00 0 0 1", Line(0, Spin(0))])).Errors;
        Assert.Equal([19, 20, 21], lines.Select(e => e.Line).Where(l => l > 4));
        Assert.Equal("a quaternion of length 1.41421", lines[^3].Found);
    }
}
