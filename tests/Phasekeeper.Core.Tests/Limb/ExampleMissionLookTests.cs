using System.Globalization;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Limb;

/// <summary>
/// The tangent points and motion that an independent simulator wrote (tests/reference/example, an excerpt; the whole file where it lies beside the checkout).
/// </summary>
public class ExampleMissionLookTests
{
    private const double OneCentimetrePerSecond = 0.01, TenMetres = 10, OneThousandthOfADegree = 1e-3;
    private const double Degree = Math.PI / 180;

    [Fact]
    public void Looks_meet_the_truth_of_an_independent_simulator() =>
        Check(File.ReadAllText(ReferenceFiles.PathOf("example/orbit.oem")), File.ReadAllLines(ReferenceFiles.PathOf("example/truth_excerpt.csv")));

    [Fact]
    public void Looks_meet_every_row_of_the_example_mission_where_it_is_at_hand()
    {
        if (ReferenceFiles.SharedFolder("example-mission") is not { } folder) return;
        Check(File.ReadAllText(Path.Combine(folder, "orbit.oem")), File.ReadAllLines(Path.Combine(folder, "truth.csv")));
    }

    private static void Check(string oem, string[] truth)
    {
        var ephemeris = OemFile.Read("orbit.oem", oem).Value;
        var header = truth.Last(l => l.StartsWith('#'))[1..].Trim().Split(',');
        var checkedRows = 0;
        foreach (var line in truth.Where(l => !l.StartsWith('#')))
        {
            var fields = line.Split(',');
            double At(string name) => double.Parse(fields[Array.IndexOf(header, name)], CultureInfo.InvariantCulture);
            var time = Instant.FromUnixSeconds(At("time_unix_s"));
            Assert.True(ephemeris.TryGetState(time, out var state));
            // profile.json of the mission: views L 45° and T 135°, 24 rows from 21.35° to 15.9°.
            var look = LookGeometry.Compute(time, state, null, fields[Array.IndexOf(header, "view")] == "L" ? 45 : 135, 21.35 + (15.9 - 21.35) * At("row") / 23);
            Assert.Equal(LookOutcome.Tangent, look.Outcome);
            Assert.Equal(At("motion_m_per_s"), look.MotionMs, OneCentimetrePerSecond);
            Assert.Equal(At("tangent_latitude_deg"), look.TangentLatitudeRad / Degree, OneThousandthOfADegree);
            Assert.Equal(At("tangent_longitude_deg"), look.TangentLongitudeRad / Degree, OneThousandthOfADegree);
            Assert.Equal(At("tangent_altitude_km") * 1e3, look.TangentAltitudeM, TenMetres);
            Assert.Equal(0, Math.IEEERemainder(At("look_azimuth_deg") - look.AzimuthRad / Degree, 360), OneThousandthOfADegree * 2);
            checkedRows++;
        }
        Assert.True(checkedRows >= 40, $"only {checkedRows} rows");
    }
}
