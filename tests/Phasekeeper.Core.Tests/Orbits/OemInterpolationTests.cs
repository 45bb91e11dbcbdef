using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Orbits;

public class OemInterpolationTests
{
    // Two-body motion in a 575 km orbit: position and velocity consistent with each other, the interpolation's own error alone.
    private static readonly double Mu = 3.986004418e14, Radius = 6_953_137, Rate = Math.Sqrt(Mu / (Radius * Radius * Radius));
    private static readonly Instant Epoch = Instant.FromUtc(2031, 3, 21, 21);

    private static OrbitState Circle(double seconds)
    {
        var (s, c) = Math.SinCos(Rate * seconds);
        var (si, ci) = Math.SinCos(0.75);
        return new(new Vec3(c, s * ci, s * si) * Radius, new Vec3(-s, c * ci, c * si) * (Radius * Rate));
    }

    private static (double Position, double Velocity) Worst(OemInterpolation method, int degree, double step)
    {
        var nodes = Enumerable.Range(0, 101).Select(i => new OemNode(Epoch.AddSeconds(i * step), Circle(i * step))).ToList();
        var segment = new OemSegment(nodes, method, degree);
        double position = 0, velocity = 0;
        // The middle of the file; its ends are less good, as fewer nodes lie on one side.
        for (var t = 10 * step; t <= 90 * step; t += step / 7)
        {
            Assert.True(segment.TryGetState(Epoch.AddSeconds(t), out var state));
            position = Math.Max(position, (state.PositionTemeM - Circle(t).PositionTemeM).Length);
            velocity = Math.Max(velocity, (state.VelocityTemeMs - Circle(t).VelocityTemeMs).Length);
        }
        return (position, velocity);
    }

    [Theory]
    [InlineData(OemInterpolation.Hermite, 7, 1e-4, 5e-6)]
    [InlineData(OemInterpolation.Hermite, 3, 0.4, 0.02)]
    [InlineData(OemInterpolation.Hermite, 5, 1e-3, 1e-4)]
    [InlineData(OemInterpolation.Lagrange, 7, 1e-3, 1e-5)]
    public void Interpolation_errors_stay_within_their_stated_bounds(OemInterpolation method, int degree, double metres, double metresPerSecond)
    {
        var (position, velocity) = Worst(method, degree, 60);
        Assert.True(position < metres, $"{position} m");
        Assert.True(velocity < metresPerSecond, $"{velocity} m/s");
    }

    [Fact]
    public void Both_methods_are_exact_at_the_nodes_and_near_the_ends_of_a_file()
    {
        foreach (var method in Enum.GetValues<OemInterpolation>())
        {
            var nodes = Enumerable.Range(0, 20).Select(i => new OemNode(Epoch.AddSeconds(i * 60), Circle(i * 60))).ToList();
            var segment = new OemSegment(nodes, method, 7);
            foreach (var node in nodes)
            {
                Assert.True(segment.TryGetState(node.Time, out var state));
                Assert.Equal(node.State, state);
            }
            segment.TryGetState(Epoch.AddSeconds(17), out var early);
            Assert.True((early.PositionTemeM - Circle(17).PositionTemeM).Length < 0.02);
        }
    }

    // 28057 of AIAA 2006-6753, tabulated every 60 s.
    [Fact]
    public void A_file_made_with_sgp4_is_limited_by_its_own_velocities()
    {
        var row = ReferenceFiles.ReadCsv("sgp4_tle.csv").Single(r => r["catalog"] == "28057");
        var source = TleFile.Read("a.tle", row["tle_line1"] + "\n" + row["tle_line2"]).Value;
        var epoch = source.Sets.Single().Epoch;
        OrbitState At(double s) => source.TryGetState(epoch.AddSeconds(s), out var state) ? state : throw new InvalidOperationException("not covered");
        var segment = new OemSegment(Enumerable.Range(0, 121).Select(i => new OemNode(epoch.AddSeconds(i * 60), At(i * 60))).ToList(), OemInterpolation.Hermite, OemSegment.DefaultDegree);
        for (var t = 300.0; t < 6900; t += 7)
        {
            Assert.True(segment.TryGetState(epoch.AddSeconds(t), out var state));
            Assert.True((state.PositionTemeM - At(t).PositionTemeM).Length < 0.2);
            Assert.True((state.VelocityTemeMs - At(t).VelocityTemeMs).Length < 0.05);
        }
    }

    [Fact]
    public void An_earth_fixed_file_gives_the_states_of_the_inertial_one()
    {
        static string Line(Instant t, Vec3 r, Vec3 v) => FormattableString.Invariant(
            $"{t.ToString()[..^1]} {r.X / 1e3:F12} {r.Y / 1e3:F12} {r.Z / 1e3:F12} {v.X / 1e3:F15} {v.Y / 1e3:F15} {v.Z / 1e3:F15}\n");
        static string File(string frame, Func<Instant, double, string> line) =>
            $"CCSDS_OEM_VERS = 2.0\nMETA_START\nCENTER_NAME = EARTH\nREF_FRAME = {frame}\nTIME_SYSTEM = UTC\nSTART_TIME = {Epoch.ToString()[..^1]}\n"
            + $"STOP_TIME = {Epoch.AddSeconds(1200).ToString()[..^1]}\nMETA_STOP\n"
            + string.Concat(Enumerable.Range(0, 21).Select(i => line(Epoch.AddSeconds(i * 60), i * 60.0)));
        var inertial = OemFile.Read("teme.oem", File("TEME", (t, s) => Line(t, Circle(s).PositionTemeM, Circle(s).VelocityTemeMs))).Value;
        var fixedToEarth = OemFile.Read("itrf.oem", File("ITRF2000", (t, s) =>
        {
            var (r, v) = EarthRotation.ToEcef(t, Circle(s));
            return Line(t, r, v);
        })).Value;
        var eme2000 = OemFile.Read("eme.oem", File("EME2000", (t, s) =>
        {
            var m = EquatorOfDate.Eme2000ToTeme(t).Transposed();
            return Line(t, m * Circle(s).PositionTemeM, m * Circle(s).VelocityTemeMs);
        })).Value;
        for (var s = 0.0; s <= 1200; s += 37)
        {
            inertial.TryGetState(Epoch.AddSeconds(s), out var a);
            Assert.True(fixedToEarth.TryGetState(Epoch.AddSeconds(s), out var b));
            Assert.True(eme2000.TryGetState(Epoch.AddSeconds(s), out var c));
            Assert.Equal(0, (a.PositionTemeM - b.PositionTemeM).Length, 1e-5);
            Assert.Equal(0, (a.VelocityTemeMs - b.VelocityTemeMs).Length, 1e-7);
            Assert.Equal(0, (a.PositionTemeM - c.PositionTemeM).Length, 1e-5);
            Assert.Equal(0, (a.VelocityTemeMs - c.VelocityTemeMs).Length, 1e-7);
        }
    }
}
