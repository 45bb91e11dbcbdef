using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Tests.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Coefficients.Evidence;

/// <summary>Zero wind and lamp ratio show in scenes, lost measurements are counted, and the two kinds of orbits held out stand apart.</summary>
public sealed class SceneResidualsTests(ITestOutputHelper output)
{
    private const double KappaRadPerMs = 0.0018784; // 2πσD0/c by hand: 2π / 557.8887e-9 m · 0.05 m / 299792458 m/s

    private static readonly OrbitInput[] Orbits = [.. new SimulatedWindow { Orbits = 10, WindMs = 6, Dark = new(120, 2, -20, 6.5) }.Make(5).Select(ScenesWith.TwoLines)];

    private static readonly CoefficientSet Set = Orbits[0].Coefficients!;

    // Of ten orbits 2 and 5 are held out among the others, and the last two after them.
    private static OrbitUse Use(int i) => i >= 8 ? OrbitUse.HeldOutLater : i is 2 or 5 ? OrbitUse.HeldOut : OrbitUse.Fitted;

    private static (IReadOnlyList<ResidualChange> Changes, IReadOnlyList<ResidualOrbit> Orbits) Compare(CoefficientSet after, Func<OrbitInput, OrbitInput>? lose = null) =>
        ProposalResiduals.Compare([.. Orbits.Select((o, i) => OrbitResiduals.Of(new OrbitAnalysis(o), new OrbitAnalysis((lose ?? (x => x))(ScenesWith.Retrieved(o, after))), Use(i)))]);

    private static ResidualChange Of(IReadOnlyList<ResidualChange> changes, string measure, string? line) => changes.Single(c => c.Measure == measure && c.Line == line);

    /// <summary>domain.md section 3: w = −phase/κ, and Z is taken from the phase: 0.02 rad more are 10.6 m/s more.</summary>
    [Fact]
    public void A_zero_wind_that_is_off_shows_in_the_scene_phase_and_in_the_difference_of_the_lines()
    {
        var (changes, _) = Compare(ScenesWith.Changed(Set, "green", o => o with { ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + 0.02)] }));
        foreach (var f in new Func<ResidualChange, ResidualFigures?>[] { c => c.Fitted, c => c.HeldOut, c => c.HeldOutLater })
        {
            var scene = f(Of(changes, ResidualMeasures.ScenePhase, "green"))!;
            var lines = f(Of(changes, ResidualMeasures.GreenRed, null))!;
            output.WriteLine($"{scene.MeanBefore:0.00} -> {scene.MeanAfter:0.00} m/s; lines {lines.MeanBefore:0.00} -> {lines.MeanAfter:0.00} m/s");
            Assert.Equal(6, scene.MeanBefore, 2.0);
            Assert.Equal(0.02 / KappaRadPerMs, scene.MeanAfter - scene.MeanBefore, 0.05);
            Assert.Equal(0, lines.MeanBefore, 0.01);
            Assert.Equal(0.02 / KappaRadPerMs, lines.RmsAfter, 0.05);
            var red = f(Of(changes, ResidualMeasures.ScenePhase, "red"))!;
            Assert.Equal(red.MeanBefore, red.MeanAfter);
        }
        var warnings = EvidenceWarnings.Of(changes, 4);
        foreach (var which in new[] { "On 2 orbits held out the green-red residual grows", "On 2 orbits held out that come after those of the fit the green-red residual grows" })
            Assert.Contains(warnings, w => w.Code == FitWarningCodes.WorseHeldOut && w.View == "F" && w.Text.StartsWith(which, StringComparison.Ordinal));
        // The scene phase tells by how much, once, and does not judge.
        var moved = Assert.Single(warnings, w => w.Code == FitWarningCodes.WindsMoved);
        Assert.Equal(("F", "green"), (moved.View, moved.Line));
        Assert.StartsWith("On 2 orbits held out that come after those of the fit the scene-phase residual moves from 6", moved.Text, StringComparison.Ordinal);
        // Nothing but zero wind has moved, and the lamp knows nothing of it.
        Assert.DoesNotContain(warnings, w => w.Text.Contains("lamp", StringComparison.Ordinal));
    }

    /// <summary>A wind of some m/s more or less is no fault of a set.</summary>
    [Fact]
    public void A_zero_wind_moved_by_half_a_metre_per_second_is_not_called_worse()
    {
        var (changes, _) = Compare(ScenesWith.Changed(Set, null, o => o with { ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + 0.5 * KappaRadPerMs)] }));
        Assert.Empty(EvidenceWarnings.Of(changes, 4));
    }

    [Fact]
    public void A_lamp_ratio_that_is_off_shows_in_how_scenes_follow_the_temperature_and_is_not_judged()
    {
        var both = Compare(ScenesWith.Changed(Set, null, o => o with { LampRatio = o.LampRatio * 1.02 })).Changes;
        var one = Compare(ScenesWith.Changed(Set, "green", o => o with { LampRatio = o.LampRatio * 1.02 })).Changes;
        foreach (var (name, changes) in new[] { ("both", both), ("green", one) })
            foreach (var c in changes.Where(c => c.Measure == ResidualMeasures.SceneTemperature)) output.WriteLine($"{name}: {c.Measure} {c.Line}: {c.HeldOut!.RmsBefore:0.00} -> {c.HeldOut.RmsAfter:0.00}");
        var follows = Of(both, ResidualMeasures.SceneTemperature, "green").HeldOut!;
        // T_lag swings by some 2 K rms: 2 % of 0.71 rad/K · 2 K / κ are 15 m/s; the measured lamp takes part of the wrong ratio for slope.
        Assert.InRange(follows.RmsBefore, 0, 1.5);
        Assert.InRange(follows.RmsAfter, 5, 30);
        Assert.Equal(Of(one, ResidualMeasures.SceneTemperature, "red").HeldOut!.RmsBefore, Of(one, ResidualMeasures.SceneTemperature, "red").HeldOut!.RmsAfter);
        Assert.DoesNotContain(EvidenceWarnings.Of(both, 4), w => w.Code == FitWarningCodes.WorseHeldOut && w.Text.Contains("scene", StringComparison.Ordinal));
        Assert.Contains(EvidenceWarnings.Of(both, 4), w => w.Code == FitWarningCodes.WindsMoved && w.Text.Contains("the scene-temperature residual moves", StringComparison.Ordinal));
    }

    /// <summary>A difference of winds of 2 m/s per kelvin above a constant: slope times the rms swing of T_lag.</summary>
    [Fact]
    public void The_lines_difference_of_winds_with_temperature_is_the_slope_times_the_swing()
    {
        var orbit = new OrbitAnalysis(Orbits[4]);
        var lagged = orbit.Lagged(420);
        var times = Enumerable.Range(0, 40).Select(i => orbit.Input.Start.AddSeconds(60 + 140 * i)).ToArray();
        double[] temperatures = [.. times.Select(t => lagged.TryGet(t, out var v) ? v.LaggedC : double.NaN)];
        OrbitWind[] winds = [.. times.SelectMany((t, i) => new[] { ("green", 30 + 2 * temperatures[i]), ("red", 25.0) }.Select(w => new OrbitWind(t, "F", w.Item1, 10, 200, false, w.Item2, 3)))];
        var residual = Assert.Single(ProposalResiduals.LinesWithTemperature(orbit, winds));
        var mean = temperatures.Average();
        Assert.Equal(2 * Math.Sqrt(temperatures.Average(c => (c - mean) * (c - mean))), residual.Sum, 1e-9);
        Assert.Equal((ResidualMeasures.WindGreenRedTemperature, "F", null, 40), (residual.Measure, residual.View, residual.Line, residual.Measured));
        // One line alone, or seven moments, tell nothing.
        Assert.Empty(ProposalResiduals.LinesWithTemperature(orbit, [.. winds.Where(w => w.Line == "green")]));
        Assert.Empty(ProposalResiduals.LinesWithTemperature(orbit, [.. winds.Take(14)]));
    }

    [Fact]
    public void What_the_new_set_loses_is_counted_where_it_is_lost_and_told()
    {
        OrbitInput WithoutRows(OrbitInput o, int rows) => o with
        {
            Fringes = [.. o.Fringes.Select(f => f.Kind != ExposureKind.Scene || f.Line != "green" ? f : f with { Status = [.. f.Status.Select((s, r) => r < rows ? RowStatus.NoFringe : s)] })],
        };
        // On orbit 109, the last, one row of four: 24 of 24 · 4 rows.
        var (changes, _) = Compare(Set, o => o.Orbit == 109 ? WithoutRows(o, 1) : o);
        var scene = Of(changes, ResidualMeasures.ScenePhase, "green");
        Assert.Equal((192, 168, 24, 109), (scene.HeldOutLater!.MeasuredBefore, scene.HeldOutLater.MeasuredAfter, scene.HeldOutLater.Lost, scene.HeldOutLater.MostLostOrbit));
        Assert.Equal((192, 192, 0, null), (scene.HeldOut!.MeasuredBefore, scene.HeldOut.MeasuredAfter, scene.HeldOut.Lost, scene.HeldOut.MostLostOrbit));
        var lost = EvidenceWarnings.Of(changes, 4).Where(w => w.Code == FitWarningCodes.MeasurementsLost).ToArray();
        Assert.Contains(lost, w => w.Text.StartsWith("With the proposed set 24 of 192 rows of scenes behind the scene-phase residual are lost (12.5 %) on the orbits held out that come after those of the fit, most of them on orbit 109", StringComparison.Ordinal) && w.Line == "green");
        Assert.DoesNotContain(lost, w => w.Line == "red");

        // All of an orbit: it is in no root mean square, and in the counts.
        scene = Of(Compare(Set, o => o.Orbit == 109 ? WithoutRows(o, 4) : o).Changes, ResidualMeasures.ScenePhase, "green");
        Assert.Equal((1, 96, 96), (scene.HeldOutLater!.Orbits, scene.HeldOutLater.MeasuredAfter, scene.HeldOutLater.Lost));
        // All of all: the measure stands there without figures.
        scene = Of(Compare(Set, o => WithoutRows(o, 4)).Changes, ResidualMeasures.ScenePhase, "green");
        Assert.Equal((0, double.NaN, 0, 192), (scene.HeldOut!.Orbits, scene.HeldOut.RmsAfter, scene.HeldOut.MeasuredAfter, scene.HeldOut.Lost));
        // A hundredth is not told.
        var few = new ResidualFigures(2, 2, 3, 3, 0, 0, 0.1) { MeasuredBefore = 1000, MeasuredAfter = 990, Lost = 10, MostLostOrbit = 7 };
        Assert.Empty(EvidenceWarnings.Of([new(ResidualMeasures.ScenePhase, "F", "green", "m/s", null, few)], 2));
        Assert.Single(EvidenceWarnings.Of([new(ResidualMeasures.ScenePhase, "F", "green", "m/s", null, few with { Lost = 11 })], 2));
    }

    [Fact]
    public void Orbits_held_out_between_and_after_stand_apart()
    {
        var (changes, orbits) = Compare(ScenesWith.Changed(Set, null, o => o with { Thermal = o.Thermal with { RadPerK = 0.72 } }));
        var lamp = Of(changes, ResidualMeasures.LampWithinOrbit, "green");
        Assert.Equal((6, 2, 2), (lamp.Fitted!.Orbits, lamp.HeldOut!.Orbits, lamp.HeldOutLater!.Orbits));
        Assert.Equal([(102, true, false), (105, true, false), (108, true, true), (109, true, true)],
            orbits.Where(o => o.Measure == ResidualMeasures.LampWithinOrbit && o.Line == "green" && o.HeldOut).Select(o => (o.Orbit, o.HeldOut, o.Later)));
        // Worse on the later orbits alone is told too.
        ResidualFigures Figures(double after) => new(5, 60, 2, after, 0, 0, 0.02);
        var told = Assert.Single(EvidenceWarnings.Of([new(ResidualMeasures.Lamp, "F", "green", "m/s", null, Figures(1)) { HeldOutLater = Figures(3) }], 10));
        Assert.Contains("On 5 orbits held out that come after those of the fit the lamp residual grows from 2 to 3", told.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void What_nothing_measures_is_said_exactly()
    {
        IReadOnlyList<FitWarning> Blind(CoefficientSet after, params (string, string)[] followed) => [.. Unmeasured.Of(Set, after, followed.ToHashSet())];
        Assert.Empty(Blind(Set));
        Assert.Empty(Blind(ScenesWith.Changed(Set, null, o => o with { Thermal = o.Thermal with { RadPerK = 0.72 }, LampVisibility = 0.5 })));
        CoefficientSet Zero(Func<int, double> by) => ScenesWith.Changed(Set, "green", o => o with { ZeroWindRad = [.. o.ZeroWindRad.Select((z, r) => z + by(r))] });
        Assert.Contains("a constant yaw error looks the same", Assert.Single(Blind(Zero(_ => 0.02))).Text, StringComparison.Ordinal);
        var rows = Blind(Zero(r => r == 1 ? 0.03 : 0.02));
        Assert.Equal([(null, null), ("F", "green")], rows.Select(w => (w.View, w.Line)));
        Assert.Contains("not one row against another", rows[1].Text, StringComparison.Ordinal);
        // Phases that go along with a new lamp reference move no wind.
        Assert.Empty(Blind(Zero(_ => 0.02), ("F", "green")));
        Assert.Contains(Blind(ScenesWith.Changed(Set, null, o => o with { LampRatio = 1.01 })), w => w.Text.Contains("off by the same share in both", StringComparison.Ordinal));
        Assert.Contains("its shape along a row", Assert.Single(Blind(ScenesWith.Changed(Set, "red", o => o with { DistortionRad = [[0.1], [0.2]] }))).Text, StringComparison.Ordinal);
        Assert.Contains("optics.envelope", Assert.Single(Blind(ScenesWith.Changed(Set, "red", o => o with { EnvelopeM1 = 0.1 }))).Text, StringComparison.Ordinal);
    }
}
