using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Geometry;

public class EquatorOfDateTests
{
    private const double Arcsecond = Math.PI / 648000;

    // IAU 2006/2000A through astropy and ERFA; the older models used here differ by up to 0.1″.
    [Fact]
    public void Eme2000_to_teme_turns_the_sun_as_the_reference_does()
    {
        var worst = 0.0;
        foreach (var row in ReferenceFiles.ReadCsv("sun_vectors.csv"))
        {
            Vec3 Vector(string frame) => new(At("ux_" + frame), At("uy_" + frame), At("uz_" + frame));
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var time = Instant.ParseUtc(row["utc"]);
            worst = Math.Max(worst, (EquatorOfDate.Eme2000ToTeme(time) * Vector("gcrs") - Vector("teme")).Length);
            var t = JulianDate.Terrestrial(time).CenturiesSinceJ2000;
            worst = Math.Max(worst, (EquatorOfDate.Nutation(t) * EquatorOfDate.Precession(t) * Vector("gcrs") - Vector("true_of_date")).Length);
        }
        Assert.True(worst < 0.2 * Arcsecond, $"worst {worst / Arcsecond}″");
    }

    // Meeus 1998, Astronomical Algorithms, example 22.a: 1987 April 10, 0h TD: Δψ = −3.788″, Δε = +9.443″, ε0 = 23°26′27.407″.
    [Fact]
    public void Nutation_meets_the_printed_example()
    {
        var t = new JulianDate(2446895.5, 0).CenturiesSinceJ2000;
        var (longitude, obliquity, _) = Nutation1980.At(t);
        Assert.Equal(-3.788, longitude / Arcsecond, 0.0006);
        Assert.Equal(9.443, obliquity / Arcsecond, 0.0006);
        Assert.Equal(23 * 3600 + 26 * 60 + 27.407, Nutation1980.MeanObliquityRad(t) / Arcsecond, 0.0006);
    }

    // Vallado, Fundamentals, example 3-15 (state in J2000 without observed corrections) and AIAA 2006-6753, appendix C (the same state in TEME).
    [Fact]
    public void A_published_state_turns_into_its_published_teme_counterpart()
    {
        var time = Instant.ParseUtc("2004-04-06T07:51:28.386009Z");
        var m = EquatorOfDate.Eme2000ToTeme(time);
        var r = m * new Vec3(5102.5096, 6123.01152, 6378.1363);
        var v = m * new Vec3(-4.7432196, 0.7905366, 5.53375619);
        Assert.Equal(0, (r - new Vec3(5094.18016210, 6127.64465950, 6380.34453270)).Length, 0.002);
        Assert.Equal(0, (v - new Vec3(-4.746131487, 0.785818041, 5.531931288)).Length, 2e-6);
    }

    [Fact]
    public void The_turn_is_a_rotation()
    {
        var m = EquatorOfDate.Eme2000ToTeme(Instant.FromUtc(2031, 3, 21));
        var unit = m * m.Transposed();
        Assert.Equal(0, (unit.Row1 - new Vec3(1, 0, 0)).Length + (unit.Row2 - new Vec3(0, 1, 0)).Length + (unit.Row3 - new Vec3(0, 0, 1)).Length, 1e-15);
    }
}
