using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Geometry;

public class EarthRotationTests
{
    private const double OneMillimetre = 1e-3, OneMicrometrePerSecond = 1e-6;
    private const double Degree = Math.PI / 180;

    // pyerfa 2.0.0.1, UT1 = UTC, no polar motion (tests/reference/make/frames.py).
    [Fact]
    public void Teme_to_pef_meets_the_reference_states()
    {
        foreach (var row in ReferenceFiles.ReadCsv("frames_teme_pef.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            Vec3 Vector(string of, string unit) => new(At($"{of}x_{unit}"), At($"{of}y_{unit}"), At($"{of}z_{unit}"));
            var time = Instant.ParseUtc(row["utc"]);
            Assert.Equal(At("gmst1982_deg"), EarthRotation.Gmst1982Rad(time) / Degree, 1e-10);
            var state = new OrbitState(Vector("", "teme_km") * 1e3, Vector("v", "teme_km_s") * 1e3);
            var (r, v) = EarthRotation.ToEcef(time, state);
            Assert.Equal(0, (r - Vector("", "pef_km") * 1e3).Length, OneMillimetre);
            Assert.Equal(0, (v - Vector("v", "pef_km_s") * 1e3).Length, OneMicrometrePerSecond);
            var geodetic = Wgs84.ToGeodetic(r);
            Assert.Equal(At("lat_geodetic_deg"), geodetic.LatitudeRad / Degree, 1e-9);
            Assert.Equal(At("lon_deg"), geodetic.LongitudeRad / Degree, 1e-9);
            Assert.Equal(At("height_km") * 1e3, geodetic.AltitudeM, OneMillimetre);

            var back = EarthRotation.FromEcef(time, r, v);
            Assert.Equal(0, (back.PositionTemeM - state.PositionTemeM).Length, 1e-8);
            Assert.Equal(0, (back.VelocityTemeMs - state.VelocityTemeMs).Length, 1e-11);
        }
    }

    // Vallado, Fundamentals, example 3-15; AIAA 2006-6753, appendix C: the printed UT1 − UTC is put in, its one-double date limits it to 2e-5 km.
    [Fact]
    public void The_published_example_comes_out_with_its_own_ut1()
    {
        var rows = ReferenceFiles.ReadCsv("frames_published_example.csv").ToDictionary(r => r["quantity"]);
        Vec3 Vector(string name) => new(Number(name, "x"), Number(name, "y"), Number(name, "z"));
        double Number(string name, string column) => double.Parse(rows[name][column], CultureInfo.InvariantCulture);
        var ut1 = Instant.ParseUtc(rows["epoch_utc"]["x"]).AddSeconds(Number("ut1_minus_utc_s", "x"));
        Assert.Equal(Number("gmst1982_deg", "x"), EarthRotation.Gmst1982Rad(ut1) / Degree, 1e-8);
        var (r, v) = EarthRotation.ToEcef(ut1, new OrbitState(Vector("r_teme_km") * 1e3, Vector("v_teme_km_s") * 1e3));
        Assert.Equal(0, (r - Vector("r_pef_km") * 1e3).Length, 0.02);
        // The printed velocity also has the day's excess length in the rate (LOD 0.0015563 s, same example), 1e-5 m/s here.
        var slower = EarthRotation.RateRadPerS * 0.0015563 / 86400;
        var expected = Vector("v_pef_km_s") * 1e3 - Vec3.Cross(new(0, 0, slower), r);
        Assert.Equal(expected.X, v.X, 1e-5);
        Assert.Equal(expected.Y, v.Y, 1e-5);
        Assert.Equal(expected.Z, v.Z, 1e-5);
    }
}
