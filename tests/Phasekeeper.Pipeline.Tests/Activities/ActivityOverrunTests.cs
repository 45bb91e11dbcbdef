using Phasekeeper.Core.Flags;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using static Phasekeeper.Pipeline.Tests.Coefficients.ShortCampaign;

namespace Phasekeeper.Pipeline.Tests.Activities;

/// <summary>An upload after which packets stay away again and again: from packets and the plan to the flag that the activity overran, and what a rehearsal says of it.</summary>
public class ActivityOverrunTests
{
    private const string Overrun = "activity-overrun";
    private static readonly Actor Kim = new("kim", Roles.Operator, "10.0.0.1");

    [Fact]
    public async Task Effects_beyond_the_settling_time_are_an_overrun_until_the_activity_is_prolonged()
    {
        using var mission = await TestMission.StartAsync(Generator);
        // Twelve minutes are lacking around every second hour, so that every orbit has a gap, or the one before it.
        double from = Math.Ceiling(Hours(mission, 4)) - 1;
        for (var hour = from; hour < from + 10; hour += 2) await mission.TakeAsync(PacketsOf(hour + 0.1, hour + 1.9));
        await mission.TakeAsync(PacketsOf(from + 10.1, from + 14));
        var desk = new ActivityDesk(mission.Stores, mission.Folder.Profile, mission.Changes, TimeProvider.System);
        // Over the first gap alone; its kind lets effects settle for an orbit.
        var draft = new ActivityDraft("software-upload", "Upload 7", Start.AddSeconds((from + 1.5) * 3600), Start.AddSeconds((from + 2.3) * 3600));
        var entered = await desk.AddAsync(draft, Kim);
        await mission.DrainAsync();

        var gap = Assert.Single(Standing(mission, "data-gap"), f => f.ExplainedBy.Count > 0);
        Assert.False(gap.ExplainedBy.Single().Whole);
        var overrun = Assert.Single(Standing(mission, Overrun));
        Assert.Equal((entered.Id, FlagSeverity.Warning, gap.To), (overrun.Thing.Subject, overrun.Severity, overrun.To));
        Assert.Equal((gap.To - entered.Activity.EffectsTo) / 3600, overrun.Value, 6);
        Assert.Contains("Upload 7", overrun.Message, StringComparison.Ordinal);
        Assert.Equal(["Upload 7"], overrun.During.Select(d => d.Summary));

        // A rehearsal of every rule in force says what was stored, of this one too; another limit raises none, and the rule taken out neither.
        ReplayIsWhatIsStored(mission);
        var rule = mission.Engine.Mission!.Rules.Find(Overrun)!;
        Assert.Empty(Replay(mission, rule with { Parameters = new SortedDictionary<string, double>(rule.Parameters.ToDictionary(), StringComparer.Ordinal) { ["limit"] = 100 } }));
        Assert.Empty(Replay(mission, rule with { Enabled = false }));

        // It took longer than planned, and now that is said.
        var longer = await desk.ChangeAsync(entered.Id, entered.Revision, draft with { To = Start.AddSeconds((from + 10.3) * 3600), Reason = "the second part was repeated" }, Kim);
        await mission.DrainAsync();
        Assert.Empty(Standing(mission, Overrun));
        var withdrawn = FlagJson.Read(mission.Stores.Flags.Get(overrun.Id)!);
        Assert.Equal((FlagState.Withdrawn, true), (withdrawn.State, withdrawn.WithdrawnReason is not null));
        Assert.True(Standing(mission, "data-gap").Single(f => f.Id == gap.Id).ExplainedBy.Single().Whole);
        ReplayIsWhatIsStored(mission);

        // As it was; then cancelled. After a restart the same.
        var back = await desk.ChangeAsync(entered.Id, longer.Revision, draft, Kim);
        await mission.DrainAsync();
        Assert.Equal(overrun.Id, Assert.Single(Standing(mission, Overrun)).Id);
        await new ActivityDesk(mission.Stores, mission.Folder.Profile, mission.Changes, TimeProvider.System).CancelAsync(entered.Id, back.Revision, "it never took place", Kim);
        await mission.RestartAsync();
        await mission.DrainAsync();
        Assert.Empty(Standing(mission, Overrun));
    }

    private static void ReplayIsWhatIsStored(TestMission mission) => Assert.All(mission.Engine.Mission!.Rules.Enabled, rule =>
    {
        var (stored, replayed) = (Standing(mission, rule.Id), Replay(mission, rule));
        Assert.Equal(stored.Select(f => f.Id), replayed.Select(f => f.Id));
        Assert.All(stored.Zip(replayed), pair => Assert.True(pair.First.SameAs(pair.Second), $"{pair.First} is not {pair.Second}"));
    });

    private static IReadOnlyList<Flag> Replay(TestMission mission, RuleDeclaration rule) => Rehearser.Replay(mission.Stores, mission.Engine.Mission!, rule, mission.Stores.Orbits.First!.Value, mission.Stores.Orbits.Last!.Value, null, default);

    private static IReadOnlyList<Flag> Standing(TestMission mission, string rule) => [.. mission.Stores.Flags.OfRule(rule, int.MinValue, int.MaxValue).Select(FlagJson.Read).Where(f => f.Stands).OrderBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal)];

    private static double Hours(TestMission mission, double hours) => (mission.Engine.Mission!.Orbits.At(Start.AddSeconds(hours * 3600))!.Value.Start - Start) / 3600;
}
