using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Winds;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>Path geometry against closed forms (tests/reference, computed outside the project).</summary>
public class LimbPathTests
{
    private const double SphereKm = 6371, OneMillimetreKm = 1e-6;

    [Fact]
    public void Shell_path_lengths_meet_the_closed_form()
    {
        // onion_path_lengths.csv: chord lengths in 10 km shells on a 6371 km sphere.
        var rows = ReferenceFiles.ReadCsv("onion_path_lengths.csv");
        var count = 0;
        foreach (var group in rows.GroupBy(r => Number(r, "tangent_height_km")))
        {
            double[] heights = [.. group.Select(r => Number(r, "shell_bottom_km")), group.Max(r => Number(r, "shell_top_km"))];
            Assert.Equal(group.Key, heights[0]);
            var paths = LimbPaths.OnSphere(SphereKm, heights);
            foreach (var row in group)
            {
                var layer = Array.IndexOf(heights, Number(row, "shell_bottom_km"));
                var length = Enumerable.Range(0, paths.Start[1]).Where(q => paths.Layer[q] == layer && paths.AboveKm[q] == 0).Sum(q => paths.LengthKm[q]);
                Assert.Equal(Number(row, "path_km"), length, OneMillimetreKm);
                count++;
            }
        }
        Assert.Equal(rows.Count, count);
    }

    [Fact]
    public void Path_integrals_through_chapman_layers_meet_the_reference()
    {
        // limb_layer_integrals.csv: scipy quad on a 6371 km sphere; wind 40 + 0.6 (z − 100) m/s in the plane of view.
        foreach (var row in ReferenceFiles.ReadCsv("limb_layer_integrals.csv"))
        {
            var green = row["layer_on_sphere_6371_km"].StartsWith("green", StringComparison.Ordinal);
            var (peak, scale, strength, top) = green ? (97.0, 6.0, 150.0, 400.0) : (250.0, 40.0, 200.0, 1000.0);
            var tangent = Number(row, "tangent_height_km");
            double[] heights = [.. Enumerable.Range(0, (int)((top - tangent) / 2) + 1).Select(i => tangent + 2 * i)];
            var paths = LimbPaths.OnSphere(SphereKm, heights);
            double sum = 0, moving = 0;
            for (var q = 0; q < paths.Start[1]; q++)
            {
                if (paths.AboveKm[q] > 0) continue;
                var z = heights[paths.Layer[q]] + paths.Share[q] * (heights[paths.Layer[q] + 1] - heights[paths.Layer[q]]);
                var x = (z - peak) / scale;
                var emission = strength * Math.Exp(1 - x - Math.Exp(-x));
                sum += emission * paths.LengthKm[q];
                moving += emission * paths.LengthKm[q] * paths.Projection[q] * (40 + 0.6 * (z - 100));
            }
            var expected = Number(row, "path_integral_cm-3_s-1_km");
            // Two points a layer of 2 km, in which the steepest emission changes by a third.
            Assert.Equal(expected, sum, 2e-5 * expected);
            // The file's wind is along a horizontal direction in the plane of view: projected by the cosine of the elevation, as here.
            Assert.Equal(Number(row, "emission_weighted_los_wind_m_s"), moving / sum, 1e-4);
        }
    }

    [Fact]
    public void Projections_of_a_gaussian_meet_its_abel_transform()
    {
        // abel_pairs.csv, gaussian: projection 2∫… = √π·1.3·exp(−(r/1.3)²). Lengths in units of 1000 km from the centre, so the "heights" start at the radius.
        foreach (var row in ReferenceFiles.ReadCsv("abel_pairs.csv").Where(r => r["pair"].StartsWith("gaussian", StringComparison.Ordinal) && Number(r, "radius") >= 1))
        {
            var radiusKm = 1000 * Number(row, "radius");
            double[] heights = [.. Enumerable.Range(0, 400).Select(i => 20.0 * i)];
            var paths = LimbPaths.OnSphere(radiusKm, heights);
            var sum = 0.0;
            for (var q = 0; q < paths.Start[1]; q++)
            {
                if (paths.AboveKm[q] > 0) continue;
                var r = (radiusKm + heights[paths.Layer[q]] + paths.Share[q] * 20) / 1000;
                sum += Math.Exp(-r * r / 1.69) * paths.LengthKm[q] / 1000;
            }
            Assert.Equal(Number(row, "projection"), sum, 1e-6 * Number(row, "projection"));
        }
    }

    [Fact]
    public void A_smooth_ray_is_the_ray()
    {
        const double centimetre = 0.01;
        foreach (var look in new SimulatedLimb(inclinationDeg: 80, latitudePhaseDeg: 45).Looks)
        {
            var exact = new Wgs84Ray(look);
            var smooth = new SmoothRay(exact, 2.6e6);
            for (var s = -2.6e6; s <= 2.6e6; s += 3.7e4)
            {
                var ((height, sine), (smoothHeight, smoothSine)) = (exact.At(s), smooth.At(s));
                Assert.Equal(height, smoothHeight, centimetre);
                Assert.Equal(sine, smoothSine, 1e-7);
            }
        }
    }

    [Fact]
    public void Over_the_ellipsoid_layers_begin_and_end_at_their_heights()
    {
        var limb = new SimulatedLimb();
        for (var r = 0; r < limb.Paths.Count; r++)
        {
            // Chord to 300 km height on the sphere of the ellipsoid's curvature along the ray: within 0.5 % of the sum of the pieces.
            var look = limb.Looks[limb.Paths.RowOfNode[r]];
            var below = limb.Paths.HeightKm[r];
            var top = limb.Paths.HeightKm[^1];
            if (top - below < 20) continue;
            var sin = Math.Sin(look.TangentLatitudeRad);
            var w2 = 1 - Wgs84.EccentricitySquared * sin * sin;
            double prime = Wgs84.EquatorialRadiusM / Math.Sqrt(w2), meridian = prime * (1 - Wgs84.EccentricitySquared) / w2;
            var curvature = Math.Pow(Math.Cos(look.AzimuthRad), 2) / meridian + Math.Pow(Math.Sin(look.AzimuthRad), 2) / prime;
            var radiusKm = 1e-3 / curvature;
            var chord = 2 * Math.Sqrt((radiusKm + top) * (radiusKm + top) - (radiusKm + below) * (radiusKm + below));
            var length = Enumerable.Range(limb.Paths.Start[r], limb.Paths.Start[r + 1] - limb.Paths.Start[r]).Where(q => limb.Paths.AboveKm[q] == 0).Sum(q => limb.Paths.LengthKm[q]);
            Assert.Equal(1, length / chord, 5e-3);
        }
    }

    private static double Number(Dictionary<string, string> row, string column) => double.Parse(row[column], CultureInfo.InvariantCulture);
}
