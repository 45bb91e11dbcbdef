using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;
using Xunit.Abstractions;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Evidence;

/// <summary>Evidence is computed from the archive, in the background, and again when its ground has changed.</summary>
[Collection(DriftedCampaign.Collection)]
public class EvidenceTests(DriftedCampaign campaign, ITestOutputHelper output)
{
    [Fact]
    public async Task Evidence_of_a_fit_says_what_becomes_better_and_by_how_much_the_winds_move()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var products = mission.Products();
        var request = new FitRequest { FirstOrbit = mission.OrbitAt(0), LastOrbit = mission.OrbitAt(54), Parts = [FitPart.ThermalSlope, FitPart.ThermalLag] };
        var id = await programs.Fits.ProposeAsync(request, "slopes", mission.OrbitAt(30), "the slopes are off", Ada);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.Null(programs.Board.Of(id));
        var row = mission.EvidenceOf(id)[0];
        var evidence = EvidenceJson.Read(row.Document)!;
        output.WriteLine($"{evidence.ComputedInS:0.0} s; {string.Join("; ", evidence.Warnings)}");
        Assert.Equal(row.Document, EvidenceJson.Write(evidence));
        Assert.Equal((1L, 1L), (row.Against!.Value, evidence.Against));
        var fit = FitDocument.Read(mission.Stores.Coefficients.Fit(id)!);
        Assert.Equal(fit.Fitted, evidence.FittedOrbits);
        Assert.Equal(fit.HeldOut, evidence.HeldOutOrbits);
        Assert.Equal(fit.HeldOutLater, evidence.HeldOutLaterOrbits);
        Assert.True(evidence.HeldOutLaterOrbits.Count >= 5 && evidence.HeldOutLaterOrbits[0] > evidence.FittedOrbits[^1]);
        foreach (var r in evidence.Residuals) output.WriteLine($"{r.Measure} {r.View} {r.Line}: {Words(r.Fitted)} | {Words(r.HeldOut)} | {Words(r.HeldOutLater)}");
        Assert.Equal(4, evidence.Residuals.Count(r => r.Measure == ResidualMeasures.LampWithinOrbit && r.HeldOutLater!.RmsAfter < 0.5 * r.HeldOutLater.RmsBefore));
        // The trackers of winds stand on those of the orbits whose winds were made where thinned scenes leave both lines at one height.
        Assert.Equal(2, evidence.Residuals.Count(r => r.Measure == ResidualMeasures.WindGreenRed && (r.Fitted?.Orbits ?? 0) + (r.HeldOut?.Orbits ?? 0) + (r.HeldOutLater?.Orbits ?? 0) is >= 1 and <= EvidenceOrbits.WindOrbits));
        Assert.True(evidence.FlagSeriesContinued + evidence.FlagSeriesBegunAnew > 30);
        Assert.Equal(fit.Numbers.Select(n => (n.Number, n.View, n.After, n.Sigma)), evidence.Numbers.Select(n => (n.Number, n.View, n.After, n.Sigma)));

        Assert.Equal(4, evidence.Residuals.Count(r => r.Measure == ResidualMeasures.LampWithinOrbit && r.HeldOut!.RmsAfter < 0.5 * r.HeldOut.RmsBefore));
        Assert.Equal(EvidenceOrbits.WindOrbits, evidence.WindOrbits.Count);
        Assert.Contains(evidence.WindOrbits, o => fit.HeldOut.Contains(o));
        Assert.Contains(evidence.WindOrbits, o => fit.HeldOutLater.Contains(o));
        Assert.Contains(evidence.WindOrbits, o => fit.Fitted.Contains(o));
        Assert.Equal(4, evidence.WindsByView.Count);
        Assert.All(evidence.WindsByView, g => Assert.True(g.Count > 50 && g.RmsMs > 0));
        Assert.NotEmpty(evidence.WindsByAltitude);
        Assert.NotEmpty(evidence.WindsByLatitude);
        // Drift flags that the wrong slopes raise are gone with the right ones.
        foreach (var f in evidence.FlagsVanishing.Concat(evidence.FlagsAppearing)) output.WriteLine($"{f}");
        Assert.Contains(evidence.FlagsVanishing, f => f.Rule == "drift" && f.Subject == "thermal-slope");
        Assert.DoesNotContain(evidence.FlagsAppearing, f => f.Subject == "thermal-slope");
        Assert.Equal(products, mission.Products());
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
    }

    [Fact]
    public async Task A_set_by_hand_is_judged_by_orbits_around_its_start_and_a_restart_computes_what_is_missing()
    {
        using var mission = await campaign.OpenAsync();
        var start = mission.Engine.Mission!.Orbits.Of(mission.OrbitAt(24))!.Value;
        const double moreZero = 0.02;
        var set = Other(mission, "by hand", 1 / DriftedCampaign.WrongBy) with { ValidFrom = start.Start };
        set = set with { Optics = [.. set.Optics.Select(o => o.View == "F" && o.Line == "green" ? o with { ZeroWindRad = [.. o.ZeroWindRad.Select(z => z + moreZero)] } : o)] };
        var id = await mission.Desk.ProposeAsync(new() { Set = set, Reason = "a test", Source = CoefficientSource.ByHand }, Ada);
        await mission.RestartAsync();
        using var programs = new CoefficientPrograms(mission);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        var evidence = EvidenceJson.Read(mission.EvidenceOf(id).Single().Document)!;
        Assert.Empty(evidence.FittedOrbits);
        Assert.Empty(evidence.Numbers);
        Assert.True(evidence.HeldOutOrbits.Count is > 20 and <= EvidenceOrbits.ByHandOrbits);
        Assert.True(evidence.HeldOutOrbits[0] < start.Number && evidence.HeldOutOrbits[^1] > start.Number);
        Assert.Equal(4, evidence.Residuals.Count(r => r.Measure == ResidualMeasures.LampWithinOrbit));
        Assert.All(evidence.Residuals.Where(r => r.Measure == ResidualMeasures.LampWithinOrbit), r => Assert.True(r.Fitted is null && r.HeldOut!.RmsAfter < r.HeldOut.RmsBefore));
        Assert.DoesNotContain(evidence.Warnings, w => w.Code == FitWarningCodes.NothingHeldOut);
        // domain.md section 3: w = -phase/kappa, and Z is taken from the phase, so more of it makes the wind larger by Z/kappa: 0.02 rad are 11 m/s.
        var green = mission.Folder.Profile.Instrument!.Lines.Single(l => l.Id == "green");
        var kappa = 2 * Math.PI / (green.WavelengthVacuumNm * 1e-9) * green.OpdMm * 1e-3 / 299_792_458;
        Assert.Equal(4, evidence.WindsByView.Count);
        foreach (var g in evidence.WindsByView)
        {
            output.WriteLine($"{g}");
            Assert.Equal(g is { View: "F", Line: "green" } ? moreZero / kappa : 0, g.MeanMs, 0.3);
        }
        // On every orbit looked at the scenes show it: in their own view and line, and in that view's difference of the lines.
        foreach (var r in evidence.Residuals.Where(r => r.Measure.StartsWith("wind", StringComparison.Ordinal) || r.Measure.StartsWith("scene", StringComparison.Ordinal))) output.WriteLine($"{r.Measure} {r.View} {r.Line}: {Words(r.HeldOut)}");
        Assert.Equal(4, evidence.Residuals.Count(r => r.Measure == ResidualMeasures.ScenePhase));
        foreach (var r in evidence.Residuals.Where(r => r.Measure == ResidualMeasures.ScenePhase))
        {
            Assert.Equal(evidence.HeldOutOrbits.Count, r.HeldOut!.Orbits);
            Assert.Equal(r is { View: "F", Line: "green" } ? moreZero / kappa : 0, r.HeldOut.MeanAfter - r.HeldOut.MeanBefore, 0.5);
        }
        // Where both lines give winds at one height their difference is judged.
        Assert.Contains(evidence.Residuals, r => r.Measure == ResidualMeasures.WindGreenRed);
        foreach (var r in evidence.Residuals.Where(r => r.Measure == ResidualMeasures.WindGreenRed))
            Assert.Equal(r.View == "F" ? moreZero / kappa : 0, r.HeldOut!.MeanAfter - r.HeldOut.MeanBefore, 1.5);
        Assert.Contains(evidence.Warnings, w => w.Code == FitWarningCodes.WindsMoved && (w.View, w.Line) == ("F", "green") && w.Text.Contains("the scene-phase residual moves", StringComparison.Ordinal));
        Assert.DoesNotContain(evidence.Warnings, w => w.Code == FitWarningCodes.WorseHeldOut && w.View == "A");
        Assert.Contains(evidence.Warnings, w => w.Code == FitWarningCodes.NotMeasured && w.Text.Contains("a constant yaw error looks the same", StringComparison.Ordinal));
        Assert.DoesNotContain(evidence.Warnings, w => w.Text.Contains("No residual tells", StringComparison.Ordinal));
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));

        // Asked for again it is computed again, and on record.
        await programs.Evidence.AskAsync(id, Ada);
        Assert.Equal("waits", programs.Board.Of(id)!.Step);
        Assert.Equal((RecordKinds.CoefficientsEvidence, "ada"), mission.Stores.Record.List(new RecordFilter(), 1).Items.Select(e => (e.What, e.Person)).Single());
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.Equal(2, mission.EvidenceOf(id).Count);
    }

    [Fact]
    public async Task What_reprocessing_then_makes_is_what_the_outlook_said_and_another_set_in_force_asks_for_new_evidence()
    {
        using var mission = await TestMission.StartAsync(Generator);
        await mission.TakeAsync(DriftedCampaign.ThinPackets(0, 13));
        await mission.DrainAsync();
        using var programs = new CoefficientPrograms(mission);
        var from = mission.Engine.Mission!.Orbits.Of(mission.OrbitAt(5))!.Value;
        var (a, b) = (await ProposeAsync(mission, "a", 1.02, from.Number), await ProposeAsync(mission, "b", 1.01, from.Number));
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        var outlook = EvidenceJson.Read(mission.EvidenceOf(a)[0].Document)!.Reprocessing;
        Assert.Contains("No orbit was ever made again", outlook.Basis, StringComparison.Ordinal);
        Assert.True(outlook.EstimatedS > 0);
        await mission.Desk.ApproveAsync(a, new() { Reason = "better", Evidence = mission.EvidenceOf(a)[0].Id }, Lea);
        await mission.DrainAsync();
        var made = mission.Stores.Reprocessing.All().Single();
        Assert.Equal((made.FirstOrbit, made.LastOrbit, made.Orbits), (outlook.FromOrbit, outlook.ToOrbit, (long)outlook.Orbits));
        var days = mission.Stores.Orbits.Rows(made.FirstOrbit!.Value, made.LastOrbit!.Value).SelectMany(o => new[] { o.Start.UtcDate, o.End.UtcDate }).Distinct().Order();
        Assert.Equal(days, outlook.Days);

        // b rests on the ground set, which is no longer in force there.
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        var newest = mission.EvidenceOf(b)[0];
        Assert.Equal(a, newest.Against);
        Assert.Contains("Measured when", EvidenceJson.Read(newest.Document)!.Reprocessing.Basis, StringComparison.Ordinal);
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
    }

    [Fact]
    public async Task A_failure_is_told_once_and_left_until_somebody_asks()
    {
        using var mission = await TestMission.StartAsync(Generator);
        using var programs = new CoefficientPrograms(mission);
        var id = await mission.ProposeAsync("warmer", 1.1);
        // Without data there is nothing to compute with: by itself it waits, and who asks is told.
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        programs.Board.Ask(id);
        Assert.True(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.Contains("No orbit is complete", programs.Board.Of(id)!.Failure, StringComparison.Ordinal);
        Assert.Contains(mission.Stores.Events.Newest(5), e => e.Kind == "coefficients" && e.Text.Contains("could not be computed", StringComparison.Ordinal));
        Assert.False(await programs.Worker.StepAsync(CancellationToken.None));
        Assert.Empty(mission.EvidenceOf(id));
        // What is decided needs no evidence.
        await mission.Desk.DeclineAsync(id, "no", null, Lea);
        Assert.Equal(RefusalKind.Conflict, (await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Evidence.AskAsync(id, Ada))).Kind);
    }

    private static string Words(ResidualFigures? f) => f is null ? "none" : FormattableString.Invariant($"{f.Orbits} orbits {f.RmsBefore:G4} -> {f.RmsAfter:G4} (mean {f.MeanBefore:G3} -> {f.MeanAfter:G3}, ratio ± {f.RatioSigma:G2}, {f.MeasuredBefore} -> {f.MeasuredAfter})");

    private static Task<long> ProposeAsync(TestMission mission, string name, double factor, int orbit) => mission.Desk.ProposeAsync(new()
    {
        Set = Other(mission, name, factor) with { ValidFrom = mission.Engine.Mission!.Orbits.Of(orbit)!.Value.Start },
        Reason = "a test",
        Source = CoefficientSource.ByHand,
    }, Ada);
}
