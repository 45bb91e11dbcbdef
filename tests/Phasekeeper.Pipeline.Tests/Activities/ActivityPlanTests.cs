using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Activities;

public class ActivityPlanTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 10, 12);

    private static CalendarEntry Entry(string title, int sequence = 0, Instant? modified = null, bool cancelled = false, string id = "burn", string uid = "burn") =>
        new(uid, new(id, ActivityKinds.Manoeuvre, title, Start, Start.AddSeconds(3600)), cancelled, sequence, modified, false);

    private static ActivityCalendar File(long id, params CalendarEntry[] entries) => new(id, $"{id}.ics", entries);

    private static ActivityVersionRow Version(string title, long sequence, Instant time, long id = 1, string status = ActivityVersionRow.Planned) => new()
    {
        Id = id,
        Activity = "burn",
        Kind = "manoeuvre",
        Title = title,
        From = Start,
        To = Start.AddSeconds(60),
        Status = status,
        Sequence = sequence,
        Actor = "kim",
        Role = Roles.Operator,
        Time = time,
    };

    private static ActivityEntry One(ActivityCalendar[] calendars, params ActivityVersionRow[] versions) => Assert.Single(ActivityPlan.Of(calendars, versions, ActivityKinds.Default).Entries);

    [Fact]
    public void The_higher_sequence_counts_then_the_later_modification_then_the_later_calendar()
    {
        Assert.Equal("b", One([File(1, Entry("b", 2)), File(2, Entry("a", 1, Start))]).Activity.Summary);
        Assert.Equal("b", One([File(1, Entry("b", 1, Start.AddSeconds(1))), File(2, Entry("a", 1, Start))]).Activity.Summary);
        Assert.Equal("b", One([File(1, Entry("a")), File(2, Entry("b"))]).Activity.Summary);
        Assert.Equal("b", One([File(2, Entry("b")), File(1, Entry("a"))]).Activity.Summary);
    }

    [Fact]
    public void A_persons_change_counts_until_a_calendar_says_more()
    {
        var change = Version("mine", 1, Start);
        Assert.Equal(("mine", "1.ics"), (One([File(1, Entry("a"))], change).Activity.Summary, One([File(1, Entry("a"))], change).Calendar));
        // The same again, later: it says nothing more.
        Assert.Equal("mine", One([File(1, Entry("a")), File(2, Entry("a"))], change).Activity.Summary);
        // The same SEQUENCE as the change, and no LAST-MODIFIED.
        Assert.Equal("mine", One([File(1, Entry("a")), File(2, Entry("b", 1))], change).Activity.Summary);
        Assert.Equal("mine", One([File(1, Entry("a")), File(2, Entry("b", 1, Start.AddSeconds(-1)))], change).Activity.Summary);
        foreach (var newer in new[] { Entry("b", 1, Start.AddSeconds(1)), Entry("b", 2) })
        {
            var taken = One([File(1, Entry("a")), File(2, newer)], change);
            Assert.Equal(("b", "mine"), (taken.Activity.Summary, taken.Replaced!.Title));
        }
    }

    [Fact]
    public void Nothing_goes_what_is_cancelled_stays_to_be_seen_and_explains_nothing()
    {
        var plan = ActivityPlan.Of([File(1, Entry("a")), File(2, Entry("a", 1, cancelled: true))], [], ActivityKinds.Default);
        Assert.True(Assert.Single(plan.Entries).IsCancelled);
        Assert.Empty(plan.Active);
        Assert.True(One([File(1, Entry("a"))], Version("a", 1, Start, status: ActivityVersionRow.Cancelled)).IsCancelled);
        // A calendar without it says nothing about it.
        Assert.False(One([File(1, Entry("a")), File(2)]).IsCancelled);
    }

    [Fact]
    public void An_occurrence_that_the_newer_series_lacks_is_cancelled()
    {
        var plan = ActivityPlan.Of([File(1, Entry("a", id: "w@1", uid: "w"), Entry("a", id: "w@2", uid: "w")), File(2, Entry("a", 1, id: "w@2", uid: "w"), Entry("a", 1, id: "w@3", uid: "w"))], [], ActivityKinds.Default);
        Assert.Equal([("w@1", true), ("w@2", false), ("w@3", false)], plan.Entries.Select(e => (e.Id, e.IsCancelled)));
    }

    [Fact]
    public void What_is_written_is_read_back_as_the_same_plan()
    {
        var mine = Version("Burn; with a, comma \\ and ünïcode – long enough that the line must be folded more than once, at 75 octets each", 3, Start.AddSeconds(0.25)) with { Note = "two burns\nsecond line", Expects = "attitude,gap" };
        var plan = ActivityPlan.Of([File(1, Entry("a", 2, Start), Entry("cancelled", id: "x", uid: "x", cancelled: true), Entry("moment", id: "m", uid: "m") with { IsLone = false })], [mine], ActivityKinds.Default);
        var text = ActivityExport.Write(plan.Entries);
        Assert.All(text.Split("\r\n"), line => Assert.InRange(System.Text.Encoding.UTF8.GetByteCount(line), 0, 75));
        var back = ActivityFile.ReadEntries(text, "own.ics", Instant.FromUtc(2031, 1, 1), Instant.FromUtc(2032, 1, 1), ActivityKinds.Default);
        Assert.Equal(plan.Entries.Select(e => (e.Activity, e.IsCancelled, e.Sequence)), back.Select(e => (e.Activity, e.IsCancelled, e.Sequence)));
        var again = ActivityPlan.Of([File(1, Entry("a", 2, Start), Entry("cancelled", id: "x", uid: "x", cancelled: true), Entry("moment", id: "m", uid: "m")), File(2, [.. back])], [mine], ActivityKinds.Default);
        Assert.Equal(plan.Entries.Select(e => e.Revision), again.Entries.Select(e => e.Revision));
        Assert.NotNull(again.Find("burn")!.Version);
        Assert.Equal([FlagTopic.Attitude, FlagTopic.Gap], again.Find("burn")!.Activity.ExpectedTopics);
    }
}
