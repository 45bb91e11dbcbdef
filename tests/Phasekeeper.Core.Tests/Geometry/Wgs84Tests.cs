using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Geometry;

public class Wgs84Tests
{
    private const double TenMicrometres = 1e-5, TenNanometres = 1e-8;
    private const double Degree = Math.PI / 180;

    // pyerfa 2.0.0.1 and PROJ 9.1.1 (tests/reference/make/frames.py).
    [Fact]
    public void Geodetic_positions_meet_the_reference()
    {
        foreach (var row in ReferenceFiles.ReadCsv("frames_geodetic_wgs84.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var ecef = Wgs84.ToEcef(new Geodetic(At("lat_deg") * Degree, At("lon_deg") * Degree, At("height_km") * 1e3));
            Assert.Equal(At("x_ecef_km") * 1e3, ecef.X, TenMicrometres);
            Assert.Equal(At("y_ecef_km") * 1e3, ecef.Y, TenMicrometres);
            Assert.Equal(At("z_ecef_km") * 1e3, ecef.Z, TenMicrometres);
        }
    }

    [Fact]
    public void Geodetic_round_trip_is_good_to_ten_nanometres()
    {
        var worst = 0.0;
        foreach (var height in new[] { -50.0, 0, 97e3, 575e3, 2000e3, 36_000e3 })
            for (var lat = -90.0; lat <= 90; lat += 0.25)
                foreach (var lon in new[] { -179.9, 0, 33.3 })
                {
                    var start = Wgs84.ToEcef(new Geodetic(lat * Degree, lon * Degree, height));
                    var back = Wgs84.ToEcef(Wgs84.ToGeodetic(start));
                    worst = Math.Max(worst, (back - start).Length / Math.Max(1, start.Length / 6.4e6));
                }
        Assert.True(worst < TenNanometres, $"worst {worst} m");
    }

    [Fact]
    public void Local_axes_are_right_handed_and_up_is_the_ellipsoid_normal()
    {
        var (east, north, up) = Wgs84.LocalAxes(0.7, -2.1);
        Assert.Equal(0, (Vec3.Cross(east, north) - up).Length, 1e-15);
        var rise = Wgs84.ToEcef(new Geodetic(0.7, -2.1, 1000)) - Wgs84.ToEcef(new Geodetic(0.7, -2.1, 0));
        Assert.Equal(0, (rise.Normalized() - up).Length, 1e-11);
    }
}
