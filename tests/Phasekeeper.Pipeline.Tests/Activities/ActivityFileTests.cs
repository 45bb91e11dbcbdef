using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;

namespace Phasekeeper.Pipeline.Tests.Activities;

public class ActivityFileTests
{
    private static readonly Instant From = Instant.FromUtc(2031, 3, 1);
    private static readonly Instant To = Instant.FromUtc(2031, 5, 1);

    private static string Calendar(params string[] events) =>
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//test//EN\r\n" + string.Concat(events.Select(e => "BEGIN:VEVENT\r\nDTSTAMP:20310101T000000Z\r\n" + e.ReplaceLineEndings("\r\n") + "\r\nEND:VEVENT\r\n")) + "END:VCALENDAR\r\n";

    private static IReadOnlyList<PlannedActivity> Read(params string[] events) => ActivityFile.Read(Calendar(events), "activities.ics", From, To);

    [Theory]
    [InlineData("CATEGORIES:MANOEUVRE", "SUMMARY:x", "manoeuvre")]
    [InlineData("CATEGORIES:routine,Lamp-Test", "SUMMARY:yaw turn", "lamp-test")]
    [InlineData("CATEGORIES:routine", "SUMMARY:Yaw turn to south", "yaw-turn")]
    [InlineData("X-NOTE:none", "SUMMARY:Detector bake-out", "bake-out")]
    [InlineData("X-NOTE:none", "SUMMARY:Meeting", "other")]
    [InlineData("X-NOTE:none", "SUMMARY:Software upload", "software-upload")]
    public void The_kind_comes_from_categories_then_from_the_title(string categories, string summary, string kind) =>
        Assert.Equal(kind, Assert.Single(Read($"UID:1\nDTSTART:20310310T120000Z\nDTEND:20310310T130000Z\n{categories}\n{summary}")).Kind.Id);

    [Fact]
    public void Times_with_a_zone_are_turned_into_utc_and_a_folded_title_is_whole()
    {
        var activity = Assert.Single(Read("UID:1\nDTSTART;TZID=Europe/Oslo:20310401T120000\nDURATION:PT2H30M\nSUMMARY:Orbit raise\n  number 3\nDESCRIPTION:Two burns"));
        Assert.Equal((Instant.FromUtc(2031, 4, 1, 10), Instant.FromUtc(2031, 4, 1, 12, 30)), (activity.From, activity.To));
        Assert.Equal(("1", "Orbit raise number 3", "Two burns"), (activity.Id, activity.Summary, activity.Description));
    }

    [Fact]
    public void Whole_days_and_events_over_several_days_are_taken()
    {
        var found = Read("UID:a\nDTSTART;VALUE=DATE:20310305\nDTEND;VALUE=DATE:20310308\nSUMMARY:Bake-out", "UID:b\nDTSTART:20310228T220000Z\nDTEND:20310302T020000Z\nSUMMARY:Yaw turn");
        Assert.Equal(["b", "a"], found.Select(a => a.Id));
        Assert.Equal((Instant.FromUtc(2031, 3, 5), Instant.FromUtc(2031, 3, 8)), (found[1].From, found[1].To));
    }

    [Fact]
    public void A_recurring_event_keeps_its_local_hour_across_the_change_to_summer_time_and_honours_exceptions()
    {
        // Norway's clocks go forward on 2031-03-30.
        var found = Read("UID:w\nDTSTART;TZID=Europe/Oslo:20310319T120000\nDTEND;TZID=Europe/Oslo:20310319T130000\nRRULE:FREQ=WEEKLY;COUNT=4\nEXDATE;TZID=Europe/Oslo:20310326T120000\nSUMMARY:Lamp test");
        Assert.Equal(["2031-03-19T11:00:00Z", "2031-04-02T10:00:00Z", "2031-04-09T10:00:00Z"], found.Select(a => a.From.ToString()));
        Assert.Equal("w@2031-03-19T11:00:00Z", found[0].Id);
    }

    [Fact]
    public void A_recurrence_without_end_stops_at_the_end_of_the_stretch() =>
        Assert.Equal(61, Read("UID:d\nDTSTART:20310101T060000Z\nDTEND:20310101T070000Z\nRRULE:FREQ=DAILY\nSUMMARY:Lamp test").Count);

    [Fact]
    public void Cancelled_events_and_those_outside_the_stretch_are_left_out() =>
        Assert.Empty(Read("UID:1\nDTSTART:20310310T120000Z\nDTEND:20310310T130000Z\nSTATUS:CANCELLED\nSUMMARY:x", "UID:2\nDTSTART:20310601T000000Z\nDTEND:20310602T000000Z\nSUMMARY:y"));

    [Fact]
    public void All_mistakes_are_reported_with_their_lines()
    {
        var text = Calendar("DTSTART:2031-03-10 12:00\nSUMMARY:x", "UID:2\nDTSTART:20310310T120000Z\nDTEND:20310309T120000Z\nSUMMARY:y", "UID:3\nSUMMARY:z\nthis is no property", "UID:4\nDTSTART;TZID=Mars/Base:20310310T120000\nSUMMARY:m");
        var error = Assert.Throws<ActivityFileException>(() => ActivityFile.Read(text, "activities.ics", From, To));
        Assert.Equal(
        [
            "4: the event has no UID; expected one, so that its occurrences can be told apart",
            "6: found DTSTART '2031-03-10 12:00'; expected 20310301T120000Z, 20310301T120000 with a TZID, or the date 20310301",
            "13: the event ends 2031-03-09T12:00:00Z, before it starts 2031-03-10T12:00:00Z",
            "16: the event has no DTSTART; expected one",
            "20: found 'this is no property'; expected NAME:value",
            "25: found the time zone 'Mars/Base'; expected a name of the IANA time zone database such as Europe/Oslo, or times in UTC",
        ], error.Errors.Select(e => $"{e.Line}: {e.Message}"));
        Assert.StartsWith("activities.ics: line 4: ", error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "line 1: found ''; expected BEGIN:VCALENDAR")]
    [InlineData("BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\nDTSTART:20310310T120000Z\nEND:VCALENDAR\n", "line 5: found END:VCALENDAR; expected END:VEVENT for the BEGIN on line 2")]
    [InlineData("BEGIN:VCALENDAR\nVERSION:2.0\n", "line 1: BEGIN:VCALENDAR has no END:VCALENDAR")]
    public void A_file_that_is_no_calendar_or_is_cut_says_so(string text, string expected) =>
        Assert.Contains(expected, Assert.Throws<ActivityFileException>(() => ActivityFile.Read(text, "a.ics", From, To)).Message, StringComparison.Ordinal);

    [Fact]
    public void Sequence_and_status_and_topics_that_are_none_are_refused_with_their_lines()
    {
        var text = Calendar("UID:1\nDTSTART:20310310T120000Z\nSEQUENCE:two\nSTATUS:MAYBE\nX-PHASEKEEPER-EXPECTS:gap,wind\nLAST-MODIFIED:yesterday");
        var error = Assert.Throws<ActivityFileException>(() => ActivityFile.Read(text, "a.ics", From, To));
        Assert.Equal([8, 9, 10, 11], error.Errors.Select(e => e.Line));
    }

    [Fact]
    public void An_empty_calendar_has_no_activities() => Assert.Empty(Read());
}
