using System.Diagnostics;
using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Winds;
using Phasekeeper.Tests;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Winds;

public class LosWindRetrievalTests(ITestOutputHelper output)
{
    private static readonly SimulatedLimb Limb = new();
    private static readonly Func<double, double> Day = SimulatedLimb.Layers("green", true);

    private static SimulatedAir Air(Func<double, double> emission, Func<double, double> wind) => new((z, _) => emission(z), (z, _) => wind(z));

    [Fact]
    public void A_strong_shear_is_recovered_within_its_uncertainty()
    {
        // From +130 to −130 m/s between 110 and 140 km (facts of the trade).
        double Wind(double z) => 130 - 260 * Math.Clamp((z - 110) / 30, 0, 1);
        var random = new NoiseSource(3);
        var scaled = new List<double>();
        for (var p = 0; p < 20; p++)
        {
            var profile = LosWindRetrieval.Retrieve(Limb.Expose("green", Air(Day, Wind), random), Limb.Paths);
            foreach (var w in profile.Rows.Where(w => w.AltitudeKm < 200)) scaled.Add((w.WindMs - Wind(w.AltitudeKm)) / w.SigmaMs);
            Assert.All(profile.Rows.Where(w => w.AltitudeKm is > 88 and < 105), w => Assert.InRange(w.WindMs, 105, 155));
            Assert.All(profile.Rows.Where(w => w.AltitudeKm is > 145 and < 180), w => Assert.InRange(w.WindMs, -155, -105));
        }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"shear: rms error/σ {Math.Sqrt(scaled.Average(x => x * x)):0.00}, largest {scaled.Max(Math.Abs):0.0}"));
        Assert.True(Math.Sqrt(scaled.Average(x => x * x)) < 1.3);
        Assert.True(scaled.Max(Math.Abs) < 4);
    }

    [Fact]
    public void The_satellites_motion_is_taken_out_to_a_tenth_of_a_metre_per_second()
    {
        // Air at rest: phases of the whole motion, w0 of several km/s, of which retrieval removed a value that is 37 m/s off; the look's own motion puts that right.
        const double tenCentimetresPerSecond = 0.1;
        var input = Limb.Expose("green", Air(Day, _ => 0), null);
        var removed = input.Looks.Select(l => l.MotionMs + 37).ToArray();
        var kappa = input.Line.KappaAtMeanRadPerMs;
        var phase = input.Looks.Select((l, r) => Math.IEEERemainder(-kappa * (l.MotionMs - removed[r]), 2 * Math.PI)).ToArray();
        Assert.All(input.Looks, l => Assert.InRange(Math.Abs(l.MotionMs), 4000, 8000));
        var profile = LosWindRetrieval.Retrieve(input with { Fringe = input.Fringe with { PhaseRad = phase, VelocityRemovedMs = removed } }, Limb.Paths);
        Assert.All(profile.Rows, w => Assert.InRange(w.ApparentMs, -tenCentimetresPerSecond, tenCentimetresPerSecond));
        Assert.All(profile.Rows, w => Assert.InRange(w.WindMs, -tenCentimetresPerSecond, tenCentimetresPerSecond));
    }

    [Fact]
    public void A_phase_of_one_radian_is_the_wind_that_the_literature_says()
    {
        // dash_phase_per_wind.csv at 5 cm: 1.878372e-3 and 1.662829e-3 rad per m/s; the profile's wavelengths differ from the file's in the seventh digit.
        var rows = ReferenceFiles.ReadCsv("dash_phase_per_wind.csv").Where(r => r["path_difference_cm"] == "5").ToList();
        Assert.Equal(2, rows.Count);
        foreach (var row in rows)
        {
            var expected = double.Parse(row["dphase_dv_rad_per_m_s"], CultureInfo.InvariantCulture);
            Assert.Equal(expected, ExampleMissionWinds.Line(row["line"].Contains("557", StringComparison.Ordinal) ? "green" : "red").KappaAtMeanRadPerMs, 2e-6 * expected);
        }
    }

    [Fact]
    public void A_hundredth_of_a_degree_of_yaw_is_about_a_metre_per_second()
    {
        // domain.md section 3 step 10.
        Assert.All(Limb.Looks, l => Assert.InRange(Math.Abs(AttitudeSensitivity.PerRadian(l, Limb.VelocityMs)[0].MotionMs) * 0.01 * Math.PI / 180, 0.7, 1.1));
        // 0.01° of pitch moves the tangent point by about 0.4 km (domain.md section 4), less the cosine of the look.
        Assert.All(Limb.Looks, l => Assert.InRange(Math.Abs(AttitudeSensitivity.PerRadian(l, Limb.VelocityMs)[1].HeightM) * 0.01 * Math.PI / 180, 200, 450));
    }

    [Fact]
    public void Squares_of_the_budget_add_up_and_shared_shift_errors_cancel()
    {
        var input = Limb.Expose("green", Air(Day, _ => 50), new NoiseSource(5), null, new(0, 0.004, 0.6, 0.2, 0.01));
        // A drift whose whole error follows the shift's: only the difference of the fringe frequencies is left.
        var perSample = 2 * Math.PI * input.Line.LampCycles / input.Samples;
        input = input with { Drift = new DriftEstimate(0, perSample * 0.004, 0, 0, DriftSource.Lamp, false, perSample * 0.004 * 0.004), PitchSigmaDeg = 0.01, RollSigmaDeg = 0.01 };
        var profile = LosWindRetrieval.Retrieve(input, Limb.Paths);
        foreach (var w in profile.Rows)
        {
            Assert.Equal(w.SigmaMs, w.Budget.TotalMs, 1e-9);
            var k = Array.IndexOf(profile.MatrixRows, w.Row);
            Assert.Equal(w.SigmaMs, Math.Sqrt(profile.CovarianceM2S2[k * profile.MatrixRows.Length + k]), 1e-6);
            Assert.True(w.Budget.ThermalMs < 1e-6);
        }
        // 2π(F_L − F)/N·δs in m/s: domain.md section 3 step 4 says about 1.5 m/s.
        var left = 2 * Math.PI * (85.059 - 57.7) / 256 * 0.004 / input.Line.KappaAtMeanRadPerMs;
        Assert.InRange(left, 1.2, 1.7);
        Assert.Equal(left, profile.Rows[3].Budget.ImageShiftMs, 0.1);
        Assert.All(profile.Rows.Where(w => w.KernelDiagonal > 0.9), w => Assert.InRange(w.Budget.AttitudeMs, 0.5, 3));
    }

    [Fact]
    public void Missing_rows_are_bad_and_do_not_spoil_the_others()
    {
        var input = Limb.Expose("green", Air(Day, z => 40 * Math.Sin(z / 20)), new NoiseSource(5));
        var status = new RowStatus[24];
        (status[4], status[5]) = (RowStatus.Missing, RowStatus.NoFringe);
        var phase = (double[])input.Fringe.PhaseRad.Clone();
        (phase[4], phase[5]) = (double.NaN, double.NaN);
        var profile = LosWindRetrieval.Retrieve(input with { Fringe = input.Fringe with { Status = status, PhaseRad = phase } }, Limb.Paths);
        Assert.All(new[] { 4, 5 }, r =>
        {
            Assert.Equal(WindQuality.Bad, profile.Rows[r].Quality);
            Assert.Contains(profile.Rows[r].Reasons, q => q.Word == "no-phase");
            Assert.True(double.IsFinite(profile.Rows[r].WindMs) && profile.Rows[r].SigmaMs > 5);
        });
        Assert.All(profile.Rows.Where(w => w.Row is < 3 or > 6), w => Assert.True(Math.Abs(w.WindMs - 40 * Math.Sin(w.AltitudeKm / 20)) < 5 * w.SigmaMs));
    }

    [Fact]
    public void Without_drift_or_lamp_the_winds_say_so()
    {
        var input = Limb.Expose("green", Air(Day, _ => 50), new NoiseSource(5));
        Assert.All(LosWindRetrieval.Retrieve(input with { Drift = null }).Rows, w =>
        {
            Assert.Equal(WindQuality.Bad, w.Quality);
            Assert.Contains(w.Reasons, q => q.Word == "no-drift");
            Assert.True(double.IsNaN(w.WindMs));
        });
        var alone = new DriftEstimate(0, LampAnchoredDrift.ModelOnlySigmaRad, 0, 0, DriftSource.ModelOnly, false, 0);
        Assert.All(LosWindRetrieval.Retrieve(input with { Drift = alone }).Rows, w =>
        {
            Assert.Equal(WindQuality.Bad, w.Quality);
            Assert.Contains(w.Reasons, q => q.Word == "no-lamp");
            Assert.True(w.SigmaMs > 100);
        });
    }

    [Fact]
    public void Where_no_light_comes_from_the_value_is_the_priors_and_the_quality_says_so()
    {
        var random = new NoiseSource(11);
        var profile = LosWindRetrieval.Retrieve(Limb.Expose("red", Air(z => SimulatedLimb.Layers("red", false)(z), z => 80 * Math.Sin(z / 30)), random), Limb.Paths);
        Assert.All(profile.Rows.Where(w => w.AltitudeKm < 150), w =>
        {
            Assert.Equal(WindQuality.Bad, w.Quality);
            Assert.Contains(w.Reasons, q => q.Word == "weak-emission");
            Assert.True(Math.Abs(w.WindMs) < 250 && w.SigmaMs > 30);
        });
        Assert.All(profile.Rows.Where(w => w.AltitudeKm is > 220 and < 290), w => Assert.Equal(WindQuality.Good, w.Quality));
    }

    [Fact]
    public void A_row_above_which_the_layer_fades_into_the_unknown_is_doubtful()
    {
        var night = Air(SimulatedLimb.Layers("green", false), z => 60 * Math.Sin(z / 12));
        var edges = 0;
        for (ulong seed = 1; seed <= 8; seed++)
        {
            var profile = LosWindRetrieval.Retrieve(Limb.Expose("green", night, new NoiseSource(seed)), Limb.Paths);
            var rows = profile.MatrixRows.Select(r => profile.Rows[r]).ToArray();
            for (var k = 0; k + 1 < rows.Length; k++)
            {
                var isEdge = rows[k].AltitudeKm < 150 && rows[k].Emission > Math.E * rows[k + 1].Emission && rows[k + 1].SigmaMs > 20;
                if (isEdge) edges++;
                Assert.Equal(isEdge, rows[k].Reasons.Any(q => q.Word == "layer-edge"));
                Assert.True(!isEdge || rows[k].Quality != WindQuality.Good);
            }
            // The bright part of the layer is as good as before.
            Assert.All(rows.Where(w => w.AltitudeKm is > 90 and < 102), w => Assert.Equal(WindQuality.Good, w.Quality));
        }
        Assert.True(edges >= 8, $"{edges} edges");
        Assert.All(LosWindRetrieval.Retrieve(Limb.Expose("green", Air(Day, z => 60 * Math.Sin(z / 12)), new NoiseSource(1)), Limb.Paths).Rows, w => Assert.DoesNotContain(w.Reasons, q => q.Word == "layer-edge"));
    }

    [Fact]
    public void A_row_that_sees_little_of_its_own_light_is_doubtful()
    {
        // A bright layer over a faint glow: a row below it sees the layer.
        var profile = LosWindRetrieval.Retrieve(Limb.Expose("green", Air(z => 0.02 * Day(165) + Day(165) * Math.Exp(-0.5 * Math.Pow((z - 170) / 10, 2)), z => 60 * Math.Sin(z / 12)), new NoiseSource(1)), Limb.Paths);
        var rows = profile.MatrixRows.Select(r => profile.Rows[r]).ToArray();
        // The simulated limb's exposures lie far from the terminator.
        Assert.All(rows, w => Assert.Equal(w.OwnLayerShare < LosWindOptions.Default.GoodOwnLight, w.Reasons.Any(q => q.Word == "little-own-light")));
        Assert.All(rows.Where(w => w.OwnLayerShare < 0.1), w => Assert.NotEqual(WindQuality.Good, w.Quality));
        Assert.Contains(rows, w => w.OwnLayerShare < 0.1);
        Assert.Contains(rows, w => w.OwnLayerShare > 0.1);
    }

    [Fact]
    public void The_same_input_gives_the_same_bits_and_looks_without_tangent_point_are_bad()
    {
        var input = Limb.Expose("green", Air(Day, z => 0.3 * z), new NoiseSource(5));
        LookSample[] looks = [.. input.Looks];
        looks[0] = looks[0] with { Outcome = LookOutcome.MeetsEarth };
        input = input with { Looks = looks };
        var (a, b) = (LosWindRetrieval.Retrieve(input), LosWindRetrieval.Retrieve(input));
        Assert.Equal(a.Rows.Select(w => (w.WindMs, w.SigmaMs)), b.Rows.Select(w => (w.WindMs, w.SigmaMs)));
        Assert.Contains(a.Rows[0].Reasons, q => q.Word == "no-tangent-point");
        Assert.Equal(WindQuality.Good, a.Rows[5].Quality);
    }

    [Fact]
    public void Emission_is_recovered_in_its_own_unit()
    {
        var profile = LosWindRetrieval.Retrieve(Limb.Expose("green", Air(Day, _ => 0), null), Limb.Paths);
        // The model's ε counts A; the profile's counts A·V (V 0.65). Between rows ln ε is linear, which a layer of 7 km scale height is not: within 15 %.
        Assert.All(profile.Rows.Where(w => w.AltitudeKm is > 90 and < 300), w => Assert.InRange(w.Emission / (0.65 * Day(w.AltitudeKm)), 0.85, 1.15));
    }

    [Fact]
    public void Speed_is_reported()
    {
        var input = Limb.Expose("green", Air(Day, z => 40 * Math.Sin(z / 20)), new NoiseSource(5));
        for (var i = 0; i < 40; i++) LosWindRetrieval.Retrieve(input, Limb.Paths);
        var process = Process.GetCurrentProcess();
        var start = process.TotalProcessorTime;
        for (var i = 0; i < 40; i++) LosWindRetrieval.Retrieve(input, Limb.Paths);
        process.Refresh();
        var inversion = (process.TotalProcessorTime - start).TotalMilliseconds / 40;
        process.Refresh();
        start = process.TotalProcessorTime;
        for (var i = 0; i < 20; i++) Assert.NotNull(LimbPaths.TryBuild(Limb.Looks));
        double Geometry()
        {
            process.Refresh();
            return (process.TotalProcessorTime - start).TotalMilliseconds / 20;
        }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"inversion {inversion:0.00} ms, geometry {Geometry():0.00} ms for 24 rows"));
    }
}
