using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Xunit.Abstractions;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Fits;

/// <summary>Fits on a window of orbits, from the archive.</summary>
[Collection(DriftedCampaign.Collection)]
public class FitDeskTests(DriftedCampaign campaign, ITestOutputHelper output)
{
    [Fact]
    public async Task A_fit_finds_slopes_that_are_3_percent_too_large_and_stores_nothing()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var (before, record) = (mission.Products(), mission.Stores.Record.Head().Entries);
        var (first, last) = (mission.OrbitAt(12), mission.OrbitAt(36));
        var trial = await programs.Fits.TryAsync(new FitRequest { FirstOrbit = first, LastOrbit = last, Parts = [FitPart.ThermalSlope, FitPart.ThermalLag] });
        output.WriteLine($"{trial.ComputedInS:0.0} s, {trial.Fitted.Count} + {trial.HeldOut.Count} orbits; {string.Join("; ", trial.Result.Warnings)}");
        Assert.Equal((1L, last - first + 1, trial.Fitted.Count), (trial.From, trial.Fitted.Count + trial.HeldOut.Count + trial.HeldOutLater.Count, trial.Result.Orbits.Count));
        // The last fifth is held out, and every fourth of what is left.
        Assert.Equal((3, 3), (trial.HeldOut.Count, trial.HeldOutLater.Count));
        Assert.Empty(trial.Fitted.Intersect(trial.HeldOut));
        Assert.All(trial.HeldOutLater, o => Assert.True(o > trial.Fitted[^1] && o > trial.HeldOut[^1]));
        Assert.Equal(last, trial.HeldOutLater[^1]);
        var slopes = trial.Result.Numbers.Where(n => n.Number == "optics.thermal.radPerK").ToArray();
        Assert.Equal(4, slopes.Length);
        foreach (var k in slopes)
        {
            var truth = Truth(k.View!, k.Line!);
            output.WriteLine($"{k.View} {k.Line}: {k.Before:0.00000} -> {k.After:0.00000} ± {k.Sigma:0.00000}, truth {truth:0.00000}");
            Assert.True(Math.Abs(k.After - truth) < 3 * k.Sigma, $"{k.View} {k.Line}: {k.After} ± {k.Sigma}, truth {truth}");
            Assert.True(Math.Abs(k.ChangeSigmas) > 5);
        }
        foreach (var r in trial.Residuals.Where(r => r.Measure == ResidualMeasures.LampWithinOrbit))
        {
            output.WriteLine($"{r.View} {r.Line} {r.Unit}: fitted {r.Fitted!.RmsBefore:0.00} -> {r.Fitted.RmsAfter:0.00}, held out {r.HeldOut!.RmsBefore:0.00} -> {r.HeldOut.RmsAfter:0.00}");
            output.WriteLine($"  after the fit's orbits {r.HeldOutLater!.RmsBefore:0.00} -> {r.HeldOutLater.RmsAfter:0.00}");
            Assert.True(r.HeldOut.RmsAfter < 0.5 * r.HeldOut.RmsBefore);
            Assert.True(r.HeldOutLater.RmsAfter < 0.5 * r.HeldOutLater.RmsBefore);
            Assert.Equal((3, 3), (r.HeldOut.Orbits, r.HeldOutLater.Orbits));
        }
        Assert.DoesNotContain(trial.Result.Warnings, w => w.Code is FitWarningCodes.WorseHeldOut or FitWarningCodes.NothingHeldOut);
        Assert.Equal((before, record, 1), (mission.Products(), mission.Stores.Record.Head().Entries, mission.Stores.Coefficients.All().Count));
    }

    [Fact]
    public async Task A_proposal_by_fit_carries_what_the_fit_said_and_where_it_comes_from()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var request = new FitRequest { FirstOrbit = mission.OrbitAt(20), LastOrbit = mission.OrbitAt(34), Parts = [FitPart.ThermalSlope], HoldOutEvery = 3 };
        var id = await programs.Fits.ProposeAsync(request, "slopes of May", null, "the slopes are off", Ada);
        var row = mission.Stores.Coefficients.Get(id)!;
        Assert.Equal((CoefficientSource.Fit, "ada", "the slopes are off", 1L), (row.Source, row.ProposedBy, row.Reason, row.Against));
        Assert.Equal(mission.Engine.Mission!.Orbits.Of(request.FirstOrbit)!.Value.Start, row.ValidFrom);
        Assert.Contains("thermal slopes", row.Basis, StringComparison.Ordinal);
        var fit = FitDocument.Read(mission.Stores.Coefficients.Fit(id)!);
        Assert.Equal(FitDocument.Read(fit.ToJson()).ToJson(), fit.ToJson());
        Assert.Equal(4, fit.Numbers.Count(n => n.Number == "optics.thermal.radPerK"));
        Assert.NotNull(programs.Board.Of(id));
        var again = await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Fits.ProposeAsync(request, "slopes of May", null, "again", Ada));
        Assert.Equal(RefusalKind.Conflict, again.Kind);
        // Only what was asked for has changed.
        var set = CoefficientPackage.Read(row.Json, mission.Folder.Profile.Instrument!, row.Name);
        Assert.Equal(mission.Folder.GroundSet!.Optics.Select(o => (o.Thermal.LagS, o.LampPhaseRad)), set.Optics.Select(o => (o.Thermal.LagS, o.LampPhaseRad)));
    }

    [Theory]
    [InlineData(3, 0)]
    [InlineData(5, 0)]
    [InlineData(6, 2)]
    [InlineData(12, 2)]
    [InlineData(45, 9)]
    [InlineData(60, 12)]
    public void The_end_of_a_window_is_held_out_where_enough_is_left_to_fit(int orbits, int later) => Assert.Equal(later, Pipeline.Coefficients.Fits.FitWindow.Later(orbits));

    [Theory]
    [InlineData(15, 4, 15, 6)]
    [InlineData(41, 4, 41, 16)]
    [InlineData(15, 0, 15, 0)]
    [InlineData(5, 2, 5, 2)]
    [InlineData(450, 4, 60, 24)]
    public void How_many_orbits_are_read_and_held_out_is_known_before(int orbits, int every, int read, int heldOut) => Assert.Equal((read, heldOut), FitRequest.Counts(orbits, every));

    [Fact]
    public async Task What_is_proposed_are_the_numbers_that_were_tried_and_not_where_what_they_rest_on_has_moved()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var request = new FitRequest { FirstOrbit = mission.OrbitAt(20), LastOrbit = mission.OrbitAt(34), Parts = [FitPart.ThermalSlope] };
        var trial = await programs.Fits.TryAsync(request);
        Assert.Same(trial, programs.Fits.Tried(trial.Id));
        Assert.Null(programs.Fits.Tried("other"));
        // Not fitted again: numbers that only this trial has are the ones that are stored.
        var marked = trial with { Result = trial.Result with { Numbers = [.. trial.Result.Numbers.Select(n => n with { Points = n.Points + 1 })] } };
        var id = await programs.Fits.ProposeTriedAsync(marked, "as tried", null, "the slopes are off", Ada);
        Assert.Equal(marked.Result.Numbers, FitDocument.Read(mission.Stores.Coefficients.Fit(id)!).Numbers);
        var row = mission.Stores.Coefficients.Get(id)!;
        Assert.Equal(CoefficientPackage.Write(trial.Result.Set with { Name = "as tried", ValidFrom = row.ValidFrom }), row.Json);
        Assert.Contains("Found no reason", (await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Fits.ProposeTriedAsync(trial, "x", null, " ", Ada))).Message, StringComparison.Ordinal);

        // Late data within the window.
        await mission.TakeAsync(PacketsOf(25, 25.03));
        await mission.DrainAsync();
        var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Fits.ProposeTriedAsync(trial, "late", null, "why", Ada));
        Assert.Equal(RefusalKind.Conflict, refused.Kind);
        Assert.Contains("Since this fit was tried, late data, or another orbit", refused.Message, StringComparison.Ordinal);
        var again = await programs.Fits.TryAsync(request);
        Assert.Null(programs.Fits.Moved(again));
        // Another set in force at the end of the window.
        await mission.ApproveAsync(id, mission.OrbitAt(30));
        Assert.Contains($"set {id} came into force in place of set 1", programs.Fits.Moved(again), StringComparison.Ordinal);
        Assert.Equal(2, mission.Stores.Coefficients.Names().Count);
    }

    [Fact]
    public async Task What_cannot_be_fitted_is_refused_with_what_was_found()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var good = new FitRequest { FirstOrbit = mission.OrbitAt(20), LastOrbit = mission.OrbitAt(22), Parts = [FitPart.ThermalSlope] };
        async Task Refused(FitRequest request, string words)
        {
            var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Fits.TryAsync(request));
            Assert.Equal(RefusalKind.Invalid, refused.Kind);
            Assert.Contains(words, refused.Message, StringComparison.Ordinal);
        }
        await Refused(good with { Parts = [] }, "no part");
        await Refused(good with { HoldOutEvery = 1 }, "holdOutEvery 1");
        await Refused(good with { LastOrbit = good.FirstOrbit - 1 }, "expected the first one first");
        await Refused(good with { FirstOrbit = good.LastOrbit - 450 }, "window of 451 orbits");
        await Refused(good with { FirstOrbit = 900_000, LastOrbit = 900_001 }, "no orbit file tells of");
        // Known, but without data.
        await Refused(good with { FirstOrbit = mission.OrbitAt(100), LastOrbit = mission.OrbitAt(101) }, "have no data");
        // Nobody without the role proposes.
        Assert.Equal(RefusalKind.Forbidden, (await Assert.ThrowsAsync<DecisionRefusedException>(() => programs.Fits.ProposeAsync(good, "x", null, "y", new("vi", Roles.Viewer, null)))).Kind);
    }

    // What the demo put in.
    private static double Truth(string view, string line) => Generator.Instrument.Optics.Single(o => o.View.Id == view && o.Line.Id == line).RadPerK;
}
