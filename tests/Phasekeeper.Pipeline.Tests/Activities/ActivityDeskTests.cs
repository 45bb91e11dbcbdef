using System.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Pipeline.Tests.Engine;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Activities;

/// <summary>From an edit to flags, on the demo's own mission with two hours of packets.</summary>
public class ActivityDeskTests
{
    private static readonly Actor Kim = new("kim", Roles.Operator, "10.0.0.1"), Ada = new("ada", Roles.Analyst, "10.0.0.2");

    private static ScenarioGenerator Generator() => new(DemoScenario.Default with { Events = [], Activities = [] });

    private static ActivityDesk Desk(TestMission mission) => new(mission.Stores, mission.Folder.Profile, mission.Changes, TimeProvider.System);

    [Fact]
    public async Task An_activity_marks_what_lies_in_it_moves_with_its_times_and_is_on_record_after_any_restart()
    {
        var generator = Generator();
        using var mission = await TestMission.StartAsync(generator);
        var (first, last) = (generator.FirstPacket, generator.FirstPacket.AddSeconds(4 * 3600));
        await mission.TakeAsync(generator.PacketsFor(first, first.AddSeconds(3600), 2));
        // An hour and a half is lost: a gap.
        await mission.TakeAsync(generator.PacketsFor(first.AddSeconds(9000), last, 2));
        await mission.DrainAsync();
        var gap = Assert.Single(Flags("data-gap"));
        Assert.Null(gap.ExplainedBy);

        var desk = Desk(mission);
        var draft = new ActivityDraft("software-upload", "Upload 7", first.AddSeconds(3500), first.AddSeconds(9000));
        var entered = await desk.AddAsync(draft, Kim);
        Assert.Equal(0, mission.Stores.Work.Count().GetValueOrDefault("winds"));
        await mission.DrainAsync();
        Assert.Equal("Upload 7", Assert.Single(Flags("data-gap")).ExplainedBy);
        var products = mission.Products();

        // A manoeuvre of no expected effect: the flag lies during it, and is not explained.
        var moved = await desk.ChangeAsync(entered.Id, entered.Revision, draft with { Expects = [] }, Ada);
        await mission.RestartAsync();
        await mission.DrainAsync();
        var during = Core(Flags("data-gap").Single());
        Assert.Empty(during.ExplainedBy);
        Assert.Equal("Upload 7", Assert.Single(during.During).Summary);

        // Two at once: the second is told what there is now.
        desk = Desk(mission);
        var conflict = await Assert.ThrowsAsync<ActivityConflictException>(() => desk.ChangeAsync(entered.Id, entered.Revision, draft with { Title = "Upload 8" }, Kim));
        Assert.Contains("ada changed it", conflict.Message, StringComparison.Ordinal);
        Assert.Equal(moved.Revision, conflict.Now.Revision);

        var back = await desk.ChangeAsync(entered.Id, moved.Revision, draft, Kim);
        await mission.DrainAsync();
        Assert.Equal(products, mission.Products());
        await desk.CancelAsync(entered.Id, back.Revision, "not needed", Kim);
        await mission.DrainAsync();
        Assert.Null(Assert.Single(Flags("data-gap")).ExplainedBy);
        Assert.True(desk.Plans.Current().Find(entered.Id)!.IsCancelled);
        Assert.Equal(4, mission.Stores.Activities.History(entered.Id).Count);

        FlagRow[] Flags(string rule) => [.. mission.Stores.Flags.List(Instant.MinValue, Instant.MaxValue, 1000).Items.Where(f => f.Rule == rule && f.State != "withdrawn")];
        static Phasekeeper.Core.Flags.Flag Core(FlagRow row) => Phasekeeper.Pipeline.Assessment.FlagJson.Read(row);
    }

    [Fact]
    public async Task A_calendar_is_shown_before_it_is_taken_and_the_export_changes_nothing()
    {
        using var mission = await TestMission.StartAsync(Generator());
        await mission.DrainAsync();
        var desk = Desk(mission);
        const string calendar = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:a\r\nDTSTAMP:20310101T000000Z\r\nDTSTART:20310510T120000Z\r\nDTEND:20310510T130000Z\r\nSUMMARY:Yaw turn\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        Assert.Equal(PreviewKind.New, Assert.Single(ActivityPreview.Of(calendar, "a.ics", desk.Plans).Lines).Kind);
        Assert.Empty(desk.Plans.Current().Entries);
        await mission.TakeAsync(Encoding.UTF8.GetBytes(calendar), "upload:a.ics");
        await mission.DrainAsync();
        Assert.Equal(PreviewKind.Unchanged, Assert.Single(ActivityPreview.Of(calendar, "a.ics", desk.Plans).Lines).Kind);

        var entry = desk.Plans.Current().Find("a")!;
        var a = entry.Activity;
        await desk.ChangeAsync("a", entry.Revision, new(a.Kind.Id, "Yaw turn to south", a.From, a.To), Kim);
        await mission.DrainAsync();
        Assert.Equal("Yaw turn to south", Assert.Single(mission.Engine.Mission!.Activities).Summary);
        var older = Assert.Single(ActivityPreview.Of(calendar, "a.ics", desk.Plans).Lines);
        Assert.Equal(PreviewKind.Older, older.Kind);
        Assert.Contains("kim's change", older.Reason, StringComparison.Ordinal);
        var newer = calendar.Replace("SUMMARY", "SEQUENCE:2\r\nSUMMARY", StringComparison.Ordinal);
        Assert.Equal(PreviewKind.Changed, Assert.Single(ActivityPreview.Of(newer, "a.ics", desk.Plans).Lines).Kind);
        Assert.Equal(PreviewKind.Cancelled, Assert.Single(ActivityPreview.Of(newer.Replace("SUMMARY", "STATUS:CANCELLED\r\nSUMMARY", StringComparison.Ordinal), "a.ics", desk.Plans).Lines).Kind);
        var refused = ActivityPreview.Of(newer.Replace("SEQUENCE:2", "SEQUENCE:x", StringComparison.Ordinal), "a.ics", desk.Plans);
        Assert.Equal(9, Assert.Single(refused.Errors).Line);

        var before = desk.Plans.Current().Entries.Select(e => e.Revision).ToArray();
        var own = ActivityExport.Write(desk.Plans.Current().Entries);
        Assert.False(ActivityPreview.Of(own, "own.ics", desk.Plans).ChangesSomething);
        await mission.TakeAsync(Encoding.UTF8.GetBytes(own), "upload:own.ics");
        await mission.DrainAsync();
        Assert.Equal(before, desk.Plans.Current().Entries.Select(e => e.Revision));
    }

    [Theory]
    [InlineData("spin", "Title", 60, null, "Found the kind 'spin'")]
    [InlineData("other", " ", 60, null, "Found a title of 0 characters")]
    [InlineData("other", "Two\nlines", 60, null, "in one line")]
    [InlineData("other", "Title", 0, null, "is not after the start")]
    [InlineData("other", "Title", 60, "wind", "Found the expected effect 'wind'")]
    public async Task What_is_wrong_is_said_and_nothing_is_written(string kind, string title, double lengthS, string? expects, string message)
    {
        using var mission = await TestMission.StartAsync(Generator());
        var from = Instant.FromUtc(2031, 5, 10);
        var refused = await Assert.ThrowsAsync<ActivityRefusedException>(() => Desk(mission).AddAsync(new(kind, title, from, from.AddSeconds(lengthS), null, expects is null ? null : [expects]), Kim));
        Assert.Contains(message, refused.Message, StringComparison.Ordinal);
        Assert.Empty(mission.Stores.Activities.Versions());
    }
}
