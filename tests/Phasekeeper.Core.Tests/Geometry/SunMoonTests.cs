using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Geometry;

public class SunMoonTests
{
    private const double Degree = Math.PI / 180;

    // Apparent Sun by astropy/ERFA (tests/reference/make/frames.py); 0.01 deg is what the low-accuracy formula promises.
    [Fact]
    public void Sun_meets_the_reference_directions()
    {
        foreach (var row in ReferenceFiles.ReadCsv("sun_vectors.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var sun = SunPosition.At(Instant.ParseUtc(row["utc"]));
            Assert.Equal(1, sun.DirectionTeme.Length, 1e-12);
            var off = (sun.DirectionTeme - new Vec3(At("ux_teme"), At("uy_teme"), At("uz_teme"))).Length / Degree;
            Assert.True(off < 0.006, $"{row["utc"]}: {off} deg");
            Assert.Equal(At("distance_au"), sun.DistanceM / SunPosition.AstronomicalUnitM, 1e-4);
        }
    }

    // Meeus 1998, Astronomical Algorithms, example 47.a: 1992 April 12, 0h TD: α = 134.688470°, δ = +13.768368°, Δ = 368409.7 km.
    [Fact]
    public void Moon_meets_a_printed_position()
    {
        Assert.True(Instant.TryParse("1992-04-12T00:00:00", CalendarScale.Tt, out var time));
        var moon = MoonPosition.At(time);
        var (sa, ca) = Math.SinCos(134.688470 * Degree);
        var (sd, cd) = Math.SinCos(13.768368 * Degree);
        Assert.True((moon.DirectionTeme - new Vec3(ca * cd, sa * cd, sd)).Length < 0.3 * Degree);
        Assert.Equal(368_409_700, moon.DistanceM, 0.2 * Wgs84.EquatorialRadiusM);
    }
}
