using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Orbits;

public class EclipseTests
{
    private const double Degree = Math.PI / 180, Share = 1e-7;

    // Circular orbits with the Sun of sun_vectors.csv (tests/reference/make/frames.py).
    [Fact]
    public void Eclipse_shares_meet_the_reference()
    {
        var suns = ReferenceFiles.ReadCsv("sun_vectors.csv").ToDictionary(r => r["utc"]);
        foreach (var row in ReferenceFiles.ReadCsv("beta_eclipse.csv"))
        {
            static double Number(Dictionary<string, string> r, string name) => double.Parse(r[name], CultureInfo.InvariantCulture);
            var s = suns[row["utc"]];
            var direction = new Vec3(Number(s, "ux_teme"), Number(s, "uy_teme"), Number(s, "uz_teme")).Normalized();
            var sun = new CelestialPosition(direction, Number(s, "distance_au") * SunPosition.AstronomicalUnitM);
            var epoch = Instant.ParseUtc(row["utc"]);
            var orbit = new CircularOrbit(epoch, Wgs84.EquatorialRadiusM + Number(row, "altitude_km") * 1e3, Number(row, "inclination_deg") * Degree,
                Number(row, "raan_teme_deg") * Degree, new TimeStretch(epoch, epoch.AddSeconds(20_000)));
            orbit.TryGetState(epoch, out var state);
            Assert.Equal(Number(row, "beta_deg"), Eclipse.BetaRad(state, sun) / Degree, 1e-6);
            // With an own Sun: 0.02 deg.
            Assert.Equal(Number(row, "beta_deg"), Eclipse.BetaRad(state, SunPosition.At(epoch)) / Degree, 0.02);
            foreach (var (kind, column) in new[] { (ShadowKind.Cylinder, "cylinder_fraction"), (ShadowKind.Umbra, "umbra_fraction"), (ShadowKind.Penumbra, "umbra_plus_penumbra_fraction") })
            {
                Assert.True(Eclipse.TryShare(kind, orbit, epoch, epoch.AddSeconds(orbit.PeriodSeconds), out var share, _ => sun));
                Assert.Equal(Number(row, column), share, Share);
            }
        }
    }

    // share = acos(√(r² − Re²) / (r cos β)) / π, close to the beta at which eclipses stop included.
    [Fact]
    public void Cylinder_shares_meet_the_closed_form_down_to_grazing_passes()
    {
        var epoch = Instant.FromUtc(2031, 3, 21);
        foreach (var row in ReferenceFiles.ReadCsv("eclipse_cylinder_formula.csv"))
        {
            double At(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            var orbit = new CircularOrbit(epoch, Wgs84.EquatorialRadiusM + At("altitude_km") * 1e3, 0.5, 0, new TimeStretch(epoch, epoch.AddSeconds(90_000)));
            // A Sun at beta from the orbit's plane, opposite to the place where the satellite is after a quarter of its period.
            var (sb, cb) = Math.SinCos(At("beta_deg") * Degree);
            Vec3 normal = new(0, -Math.Sin(0.5), Math.Cos(0.5)), quarter = new(0, Math.Cos(0.5), Math.Sin(0.5));
            var sun = new CelestialPosition(-cb * quarter + sb * normal, SunPosition.AstronomicalUnitM);
            Assert.True(Eclipse.TryShare(ShadowKind.Cylinder, orbit, epoch, epoch.AddSeconds(orbit.PeriodSeconds), out var share, _ => sun));
            Assert.Equal(At("cylinder_fraction"), share, 2e-9);
        }
    }

    [Fact]
    public void A_share_of_a_stretch_that_is_not_covered_is_refused()
    {
        var epoch = Instant.FromUtc(2031, 3, 21);
        var orbit = new CircularOrbit(epoch, 7e6, 0.5, 0, new TimeStretch(epoch, epoch.AddSeconds(5000)));
        Assert.False(Eclipse.TryShare(ShadowKind.Umbra, orbit, epoch, epoch.AddSeconds(5001), out _));
    }

    [Fact]
    public void Umbra_lies_inside_the_penumbra()
    {
        var epoch = Instant.FromUtc(2031, 3, 21);
        var orbit = new CircularOrbit(epoch, 6.95e6, 0.9, 2, new TimeStretch(epoch, epoch.AddSeconds(12_000)));
        var umbra = Eclipse.Shadows(ShadowKind.Umbra, orbit, epoch, orbit.End);
        var penumbra = Eclipse.Shadows(ShadowKind.Penumbra, orbit, epoch, orbit.End);
        Assert.True(umbra.Count >= 2);
        Assert.All(umbra, u => Assert.Contains(penumbra, p => p.Start <= u.Start && p.End >= u.End));
    }
}
