using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Coefficients;
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
        await mission.Desk.DeclineAsync(id.Value, "not now", null, Lea);
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
    public async Task A_drift_that_an_approved_set_answers_from_a_later_orbit_on_is_not_proposed_again()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        var id = (await programs.Watch.LookAsync())!.Value;
        var later = mission.Stores.Orbits.Last!.Value + 3;
        await mission.Desk.ApproveAsync(id, new() { Reason = "when the heaters are off", FromOrbit = later }, Lea);
        await mission.DrainAsync();
        // A program that knows of no earlier look, as after fifteen orbits; the flags still speak of the set in force.
        using var restarted = new CoefficientPrograms(mission);
        var timeline = DecidedTimeline.Of(mission.Stores.Coefficients.Decisions(), mission.Engine.Mission!.Orbits);
        Assert.Equal([1L, id], timeline.Select(s => s.SetId));
        Assert.Contains(DriftGrounds.Now(mission.Stores, mission.Stores.Orbits.Last!.Value, mission.Folder.GroundSet!.Name), g => g.Tracker == "thermal-slope");
        Assert.Null(await restarted.Watch.LookAsync());
        Assert.Single(mission.Stores.Coefficients.HeadsBySource(CoefficientSource.System));
        // Going back takes the answer away, and the drift counts again.
        await mission.Desk.ReinstateAsync(1, new() { Reason = "not this one", FromOrbit = later, InPlaceOf = id }, Leo);
        await mission.DrainAsync();
        Assert.NotNull(await restarted.Watch.LookAsync());
    }

    [Fact]
    public async Task What_a_coming_set_answers_is_what_it_has_other_numbers_for_unless_it_has_grown()
    {
        using var mission = await campaign.OpenAsync();
        var ground = mission.Folder.GroundSet!;
        var coming = Other(mission, "coming", 0.97);
        DriftGround Ground(string tracker, double departure, string view = "F") => new(tracker, view, "green", "rad/K", departure, 30, 7);
        FitDocument Fit(double departure) => new() { Request = new() { FirstOrbit = 1, LastOrbit = 2, Parts = [FitPart.ThermalSlope] }, From = 1, Fitted = [1], HeldOut = [2], Numbers = [], Drift = [Ground("thermal-slope", departure)] };
        IReadOnlyList<DriftGround> both = [Ground("thermal-slope", -0.02), Ground("dark-rate", 3)];
        // By hand or by a person's fit: what it changes is answered, the rest is not.
        Assert.Equal(["dark-rate"], DriftGrounds.Unanswered(both, ground, [(coming, null)]).Select(g => g.Tracker));
        Assert.Equal(2, DriftGrounds.Unanswered(both, ground, [(ground with { Name = "same" }, null)]).Count);
        Assert.Equal(2, DriftGrounds.Unanswered(both, ground, []).Count);
        // By the program: until it has grown.
        Assert.Equal(["dark-rate"], DriftGrounds.Unanswered(both, ground, [(coming, Fit(-0.015))]).Select(g => g.Tracker));
        Assert.Equal(2, DriftGrounds.Unanswered(both, ground, [(coming, Fit(-0.013))]).Count);
    }

    [Fact]
    public async Task Zero_wind_is_a_ground_only_where_its_solution_claims_a_significant_offset()
    {
        using var mission = await campaign.OpenAsync();
        using var programs = new CoefficientPrograms(mission);
        ZeroWindEstimate Estimate(string line, ZeroWindStatus status, double offsetF) => new()
        {
            Line = line,
            Status = status,
            Reasons = status == ZeroWindStatus.Claimed ? [] : ["12 of 24 hours."],
            Offsets = [new("F", offsetF, 1), new("A", 0.5, 1)],
            CovarianceM2S2 = [1, 0, 0, 1],
            TrendSigmaMs = [0, 0],
            Information = (0.4, 0.5),
            BinsUsed = 900,
            BinsSeen = 1000,
            PairedShare = 0.9,
            HoursUsed = 24,
            Columns = [],
            DailyWindSigmaMs = [],
            Orbits = 900,
            Days = 65,
            From = Start,
            To = Start.AddSeconds(86400),
            LocalTimeRateHPerDay = -0.3,
        };
        Assert.Empty(DriftGrounds.ZeroWind([Estimate("green", ZeroWindStatus.CannotTellYet, 30)], 7, DriftWatch.SignificantSigmas));
        Assert.Empty(DriftGrounds.ZeroWind([Estimate("green", ZeroWindStatus.Claimed, -4.9)], 7, DriftWatch.SignificantSigmas));
        var only = Assert.Single(DriftGrounds.ZeroWind([Estimate("green", ZeroWindStatus.Claimed, -8)], 7, DriftWatch.SignificantSigmas));
        Assert.Equal(("zero-wind", "F", "green", "m/s", -8, -8), (only.Tracker, only.View, only.Line, only.Unit, only.Departure, only.Sigmas));

        // On its own: the slopes are made right first, and what the tracker of the demo's two days cannot tell is put in its place.
        var right = await mission.Desk.ProposeAsync(new() { Set = Other(mission, "right", 1 / DriftedCampaign.WrongBy), Reason = "a test", Source = CoefficientSource.ByHand }, Ada);
        mission.Engine.ReprocessingBatchOrbits = 60;
        await mission.ApproveAsync(right, mission.OrbitAt(0) + 1);
        await mission.DrainAsync();
        Assert.Null(await programs.Watch.LookAsync());
        var day = mission.Stores.Orbits.Get(mission.Stores.Orbits.Last!.Value)!.Start.ToUnixDay().UnixDay;
        async Task PutAsync(ZeroWindStatus status) => await mission.Stores.Database.WriteAsync(t => ZeroWindStore.Replace(t, day, [Estimate("green", status, -8)]));
        await PutAsync(ZeroWindStatus.CannotTellYet);
        Assert.Null(await programs.Watch.LookAsync());
        // The fit solves for itself, from winds of the orbits that it may see: what is claimed in the store alone is proposed by nobody.
        await PutAsync(ZeroWindStatus.Claimed);
        Assert.Null(await programs.Watch.LookAsync());
    }

    [Fact]
    public async Task Every_tracker_of_a_number_that_can_be_fitted_is_watched()
    {
        using var mission = await campaign.OpenAsync();
        var charted = TrackerCatalog.All.Where(t => t.Baseline == TrackerBaseline.Coefficients).Select(t => t.Info.Id).ToArray();
        Assert.NotEmpty(charted);
        Assert.Empty(charted.Except(DriftTracker.All.Keys));
        Assert.All(DriftTracker.All.Keys, k => Assert.NotNull(TrackerCatalog.Find(k)));
        Assert.Contains("scene-visibility", DriftTracker.All.Keys);
        var known = CoefficientNumbers.Of(mission.Folder.GroundSet!).Select(n => n.Number).ToHashSet();
        Assert.All(DriftTracker.All.Values, t => Assert.All(t.Numbers, n => Assert.Contains(n, known)));
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
