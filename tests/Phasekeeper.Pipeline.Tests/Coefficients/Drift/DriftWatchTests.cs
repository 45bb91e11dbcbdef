using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Drift;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;
using Xunit.Abstractions;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Coefficients.Drift;

/// <summary>The program proposes a set when trackers have drifted away from the one in force: once, and not without drift.</summary>
[Collection(DriftedCampaign.Collection)]
public class DriftWatchTests(DriftedCampaign campaign, ITestOutputHelper output)
{
    [Fact]
    public async Task A_real_drift_is_proposed_once_and_after_it_was_declined_only_when_it_has_grown()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var id = await programs.Watch.LookAsync();
        Assert.NotNull(id);
        var row = mission.Stores.Coefficients.Get(id.Value)!;
        output.WriteLine($"{row.Name}: {row.Reason}\n{row.Basis}");
        Assert.Equal((CoefficientSource.System, Actor.System.Name, Roles.System, CoefficientDecision.Proposed), (row.Source, row.ProposedBy, row.ProposedRole, row.State));
        Assert.Contains("Thermal slope", row.Reason, StringComparison.OrdinalIgnoreCase);
        var fit = FitDocument.Read(mission.Stores.Coefficients.Fit(id.Value)!);
        Assert.Contains(fit.Drift, d => d.Tracker == "thermal-slope" && d.Departure < 0);
        Assert.Contains(fit.Numbers, n => n.Part == FitPart.ThermalSlope && n.ChangeSigmas < -DriftWatch.SignificantSigmas);
        Assert.Contains(mission.Stores.Events.Newest(5), e => e.Kind == "coefficients" && e.Text.StartsWith("system proposed", StringComparison.Ordinal));
        Assert.Equal(RecordKinds.CoefficientsPropose, mission.Stores.Record.List(new RecordFilter(), 1).Items[0].What);

        // It waits for a decision: nothing else is proposed.
        Assert.Null(await programs.Watch.LookAsync());
        await mission.Desk.DeclineAsync(id.Value, "not now", Lea);
        Assert.Null(await programs.Watch.LookAsync());
        using var restarted = new CoefficientPrograms(mission);
        Assert.Null(await restarted.Watch.LookAsync());
        // By a person's decision nothing has come into force.
        Assert.Single(mission.Stores.Coefficients.Decisions(), d => d.Decision != CoefficientDecision.Declined);
    }

    [Fact]
    public async Task What_was_declined_counts_again_from_half_as_much_again_on()
    {
        using var mission = await campaign.OpenAsync();
        DriftGround Ground(double departure) => new("thermal-slope", "F", "green", "rad/K", departure, 30, 7);
        FitDocument Declined(double departure) => new() { Request = new() { FirstOrbit = 1, LastOrbit = 2, Parts = [FitPart.ThermalSlope] }, From = 1, Fitted = [1], HeldOut = [2], Numbers = [], Drift = [Ground(departure)] };
        Assert.Empty(DriftGrounds.New([Ground(0.02)], [Declined(0.02)]));
        Assert.Empty(DriftGrounds.New([Ground(0.0299)], [Declined(0.02)]));
        Assert.Single(DriftGrounds.New([Ground(0.0301)], [Declined(0.02)]));
        Assert.Single(DriftGrounds.New([Ground(-0.02)], [Declined(0.02)]));
        Assert.Single(DriftGrounds.New([Ground(0.02) with { View = "A" }], [Declined(0.02)]));
        Assert.Single(DriftGrounds.New([Ground(0.02)], []));
    }

    [Fact]
    public void What_drifts_for_a_passing_reason_does_not_keep_what_has_aged_from_being_proposed()
    {
        IReadOnlyList<FitPart> all = [FitPart.ThermalSlope, FitPart.LampReference, FitPart.Dark, FitPart.Visibility];
        Assert.Equal([[FitPart.Dark, FitPart.Visibility], [FitPart.Dark], [FitPart.Visibility]], DriftWatch.Fewer(all, [FitPart.Visibility, FitPart.Dark, FitPart.Dark]));
        // A slope goes with its reference.
        Assert.Equal([[FitPart.ThermalSlope, FitPart.LampReference]], DriftWatch.Fewer(all, [FitPart.ThermalSlope]));
        Assert.Empty(DriftWatch.Fewer([FitPart.Dark], [FitPart.Dark]));
        Assert.Empty(DriftWatch.Fewer(all, []));
    }

    [Fact]
    public async Task Without_drift_and_when_switched_off_nothing_is_proposed()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        programs.Watch.IsOn = false;
        Assert.Null(await programs.Watch.LookAsync());
        // The right slopes from the beginning: made again, no tracker has drifted from them.
        var id = await mission.Desk.ProposeAsync(new() { Set = Other(mission, "right", 1 / DriftedCampaign.WrongBy), Reason = "a test", Source = CoefficientSource.ByHand }, Ada);
        mission.Engine.ReprocessingBatchOrbits = 60;
        await mission.ApproveAsync(id, mission.OrbitAt(0) + 1);
        programs.Watch.IsOn = true;
        // While orbits wait for it, flags speak of the set before.
        Assert.Null(await programs.Watch.LookAsync());
        await mission.DrainAsync();
        Assert.Null(await programs.Watch.LookAsync());
        Assert.DoesNotContain(mission.Stores.Coefficients.All(), s => s.Source == CoefficientSource.System);
    }
}
