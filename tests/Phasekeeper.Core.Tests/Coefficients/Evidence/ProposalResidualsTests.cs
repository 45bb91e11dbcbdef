using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Tests.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Coefficients.Evidence;

public sealed class ProposalResidualsTests(ITestOutputHelper output)
{
    private const double KappaRadPerMs = 0.0018784; // 2πσD0/c by hand: 2π / 557.8887e-9 m · 0.05 m / 299792458 m/s

    // Every third orbit is held out.
    private static OrbitResiduals[] Both(IReadOnlyList<OrbitInput> orbits, CoefficientSet after) =>
        [.. orbits.Select((o, i) => Pair(o, ScenesWith.Retrieved(o, after), i % 3 == 1 ? OrbitUse.HeldOut : OrbitUse.Fitted))];

    private static OrbitResiduals Pair(OrbitInput before, OrbitInput after, OrbitUse use) => OrbitResiduals.Of(new OrbitAnalysis(before), new OrbitAnalysis(after), use);

    private static ResidualChange Change(IReadOnlyList<ResidualChange> changes, string measure) => changes.Single(c => c.Measure == measure);

    /// <summary>The lamp phase is 0.1 rad from its reference and nothing else is: the residual is ρ·0.1/κ everywhere, in m/s.</summary>
    [Fact]
    public void Residuals_are_what_the_laws_leave_in_their_units()
    {
        var window = new SimulatedWindow { LampPhaseRad = 0.4, OrbitScatterRad = 0, Dark = new(120, 2.5, -20, 6.5), DarkOrbitScatter = 0, ShiftOrbitScatter = 0, Orbits = 3 };
        var residuals = ProposalResiduals.Of(new OrbitAnalysis(window.Make(2)[1]));
        Assert.Equal(
            [(ResidualMeasures.ScenePhase, "m/s", 1), (ResidualMeasures.SceneTemperature, "m/s", 1), (ResidualMeasures.Lamp, "m/s", 12), (ResidualMeasures.LampWithinOrbit, "m/s", 12), (ResidualMeasures.ImageShift, "samples", 36), (ResidualMeasures.Dark, "e-/s", 3),
                (ResidualMeasures.SceneVisibility, "1", 24), (ResidualMeasures.LampVisibility, "1", 12), (ResidualMeasures.LampBrightness, "1", 12)],
            residuals.Select(r => (r.Measure, r.Unit, r.Points)));
        OrbitResidual One(string measure) => residuals.Single(r => r.Measure == measure);
        double Mean(string measure) => One(measure).Sum / One(measure).Points;
        Assert.Equal(0.9987 * 0.1 / KappaRadPerMs, Mean(ResidualMeasures.Lamp), 1.5);
        // A wind of 25 m/s, and the lamp's 0.1 rad taken for drift.
        Assert.Equal(25 + 0.9987 * 0.1 / KappaRadPerMs, Mean(ResidualMeasures.ScenePhase), 1.5);
        Assert.Equal((24 * 4, 12), (One(ResidualMeasures.ScenePhase).Measured, One(ResidualMeasures.Lamp).Measured));
        Assert.Equal(0, Mean(ResidualMeasures.LampWithinOrbit), 1e-9);
        Assert.InRange(One(ResidualMeasures.LampWithinOrbit).Rms, 0.2, 2); // 2 mrad over four rows, and s(t)
        Assert.Equal(0.02, Mean(ResidualMeasures.ImageShift), 0.003);
        // 0.5 e⁻/s at −20 °C; the detector is within 2 K of it.
        Assert.InRange(Mean(ResidualMeasures.Dark), 0.5 * 0.8, 0.5 * 1.25);
        Assert.Equal(0.62 / 0.65 - 1, Mean(ResidualMeasures.SceneVisibility), 0.004);
        Assert.Equal(0.6 / 0.65 - 1, Mean(ResidualMeasures.LampVisibility), 0.004);
        Assert.Equal(3900.0 / 4000 - 1, Mean(ResidualMeasures.LampBrightness), 0.002);
        Assert.Equal(("F", "green"), (One(ResidualMeasures.Dark).View, One(ResidualMeasures.Dark).Line));
        Assert.Equal(("F", null), (One(ResidualMeasures.ImageShift).View, One(ResidualMeasures.ImageShift).Line));
    }

    [Fact]
    public void A_good_fit_is_better_on_orbits_that_it_has_not_seen_and_a_bad_set_is_told()
    {
        var window = new SimulatedWindow { RadPerK = 0.74, LagS = 460, LampPhaseRad = 0.4, Dark = new(120, 2.4, -20, 6.1) };
        var orbits = window.Make(9);
        OrbitInput[] seen = [.. orbits.Where((_, i) => i % 3 != 1)];
        var fit = Fits.Fits.Of(window, seen, Enum.GetValues<FitPart>());
        var (changes, byOrbit) = ProposalResiduals.Compare(Both(orbits, fit.Set));
        // The lamp's new reference takes Z along: the scenes' mean stays.
        var scene = Change(changes, ResidualMeasures.ScenePhase).HeldOut!;
        Assert.Equal(scene.MeanBefore, scene.MeanAfter, 3.0);
        foreach (var c in changes.Where(c => ResidualMeasures.IsJudged(c.Measure)))
        {
            output.WriteLine($"{c.Measure}: fitted {c.Fitted!.RmsBefore:g3} -> {c.Fitted.RmsAfter:g3}, held out {c.HeldOut!.RmsBefore:g3} -> {c.HeldOut.RmsAfter:g3} (ratio ± {c.HeldOut.RatioSigma:g2})");
            Assert.True(c.HeldOut.RmsAfter < c.HeldOut.RmsBefore, c.Measure);
            Assert.True(c.Fitted.RmsAfter < c.Fitted.RmsBefore, c.Measure);
            Assert.Equal((8, 4), (c.Fitted.Orbits, c.HeldOut.Orbits));
            Assert.True(c.HeldOut.RatioSigma > 0, c.Measure);
        }
        Assert.InRange(Change(changes, ResidualMeasures.Lamp).HeldOut!.MeanBefore, 40, 60);
        Assert.InRange(Change(changes, ResidualMeasures.Lamp).HeldOut!.MeanAfter, -3, 3);
        Assert.DoesNotContain(EvidenceWarnings.Of(changes, 4), w => w.Code == FitWarningCodes.WorseHeldOut);
        Assert.Equal(12 * 9, byOrbit.Count);
        Assert.Equal([101, 104, 107, 110], byOrbit.Where(o => o.HeldOut && o.Measure == ResidualMeasures.Dark).Select(o => o.Orbit));

        // The other way round the good set is the one before.
        var back = ProposalResiduals.Compare([.. Both(orbits, fit.Set).Select(o => o with { Before = o.After, After = o.Before })]).Changes;
        var warnings = EvidenceWarnings.Of(back, 4);
        Assert.Contains(warnings, w => w.Code == FitWarningCodes.WorseHeldOut && (w.View, w.Line) == ("F", "green") && w.Text.Contains("the lamp residual grows", StringComparison.Ordinal));
        Assert.Equal(FitWarningCodes.NothingHeldOut, Assert.Single(EvidenceWarnings.Of(back, 0)).Code);
    }

    [Fact]
    public void The_same_set_changes_nothing_and_order_does_not_matter()
    {
        var window = new SimulatedWindow { Orbits = 6 };
        var orbits = window.Make(4);
        var pairs = Both(orbits, window.Set);
        var (changes, byOrbit) = ProposalResiduals.Compare(pairs);
        Assert.All(changes, c => Assert.Equal((c.HeldOut!.RmsBefore, 0.0), (c.HeldOut.RmsAfter, c.HeldOut.RatioSigma)));
        Assert.Empty(EvidenceWarnings.Of(changes, 2));
        var shuffled = ProposalResiduals.Compare([.. pairs.Reverse()]);
        Assert.Equal(changes, shuffled.Changes);
        Assert.Equal(byOrbit, shuffled.Orbits);
        Assert.Throws<ArgumentException>(() => Pair(orbits[0], orbits[1], OrbitUse.HeldOut));
    }

    /// <summary>Dark residuals of seeds 1…60, ten orbits each: the spread of the ratio against its σ.</summary>
    [Fact]
    public void The_ratios_sigma_is_its_spread()
    {
        var window = new SimulatedWindow { Orbits = 10, DarkOrbitScatter = 0.05 };
        var after = window.Set with { Dark = window.Set.Dark with { RateElectronsPerS = 2.03 } };
        ResidualFigures[] figures = [.. Enumerable.Range(1, 60).Select(seed =>
        {
            OrbitInput[] darks = [.. window.Make((ulong)seed).Select(o => o with { Fringes = [.. o.Fringes.Where(f => f.Kind == ExposureKind.Dark)], NeighbourLamps = [], NeighbourShifts = [] })];
            return Change(ProposalResiduals.Compare([.. darks.Select(o => Pair(o, o with { Coefficients = after }, OrbitUse.HeldOut))]).Changes, ResidualMeasures.Dark).HeldOut!;
        })];
        double[] ratios = [.. figures.Select(f => f.RmsAfter / f.RmsBefore)];
        var spread = Core.Statistics.Moments.StandardDeviation(ratios);
        var stated = Math.Sqrt(figures.Average(f => f.RatioSigma * f.RatioSigma));
        output.WriteLine($"spread {spread:f4}, stated {stated:f4}");
        Assert.InRange(stated / spread, 0.75, 1.35);
    }

    [Fact]
    public void One_orbit_held_out_speaks_only_where_it_is_much_worse()
    {
        ResidualChange Of(double after) => new(ResidualMeasures.Lamp, "F", "green", "m/s", null, new(1, 12, 2, after, 0, 0, double.NaN));
        Assert.Empty(EvidenceWarnings.Of([Of(2.1)], 1));
        Assert.Contains("too few orbits", Assert.Single(EvidenceWarnings.Of([Of(2.3)], 1)).Text, StringComparison.Ordinal);
        // With a σ: 3σ and 2 %.
        ResidualChange With(double after, double sigma) => new(ResidualMeasures.Lamp, "F", "green", "m/s", null, new(5, 60, 2, after, 0, 0, sigma));
        Assert.Empty(EvidenceWarnings.Of([With(2.2, 0.04)], 5));
        Assert.Single(EvidenceWarnings.Of([With(2.2, 0.03)], 5));
        Assert.Empty(EvidenceWarnings.Of([With(2.03, 0.0001)], 5));
    }
}
