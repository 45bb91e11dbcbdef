using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Geometry;

public class GeomagneticFieldTests
{
    private const double Degree = Math.PI / 180, TenthOfANanotesla = 0.1;

    // WMM2020 report, test values (published rows); finite differences of the potential (computed rows).
    [Fact]
    public void Field_meets_the_published_test_values()
    {
        foreach (var row in ReferenceFiles.ReadCsv("wmm2020_field.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var b = GeomagneticField.At(new Geodetic(At("lat_geodetic_deg") * Degree, At("lon_deg") * Degree, At("height_above_wgs84_km") * 1e3), At("decimal_year"));
            Assert.Equal(At("north_nT"), b.NorthNanotesla, TenthOfANanotesla);
            Assert.Equal(At("east_nT"), b.EastNanotesla, TenthOfANanotesla);
            Assert.Equal(At("down_nT"), b.DownNanotesla, TenthOfANanotesla);
            Assert.Equal(At("total_nT"), b.TotalNanotesla, TenthOfANanotesla);
        }
    }

    [Theory]
    [InlineData(-26, -50, true)]
    [InlineData(0, 100, false)]
    [InlineData(27, -60, false)]
    [InlineData(90, 0, false)]
    [InlineData(0, -130, false)]
    [InlineData(-35, 60, false)]
    public void The_region_of_weak_field_lies_over_the_south_atlantic(double latDeg, double lonDeg, bool inside)
    {
        Assert.Equal(inside, GeomagneticField.IsSouthAtlantic(new Geodetic(latDeg * Degree, lonDeg * Degree, 575_000), Instant.FromUtc(2031, 3, 21)));
    }
}
