using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;

namespace Phasekeeper.Pipeline.Tests.Activities;

/// <summary>Examples printed in RFC 5545 (iCalendar, 2009); the section stands beside each. Times are worked out by hand from the text.</summary>
public class Rfc5545ExampleTests
{
    private static IReadOnlyList<CalendarEntry> Read(string lines, int year) => ActivityFile.ReadEntries(
        "BEGIN:VCALENDAR\r\nPRODID:-//xyz Corp//NONSGML PDA Calendar Version 1.0//EN\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\n" + lines.ReplaceLineEndings("\r\n") + "\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
        "rfc5545.ics", Instant.FromUtc(year, 1, 1), Instant.FromUtc(year + 1, 1, 1), ActivityKinds.Default);

    [Fact]
    public void Section_3_6_1_an_event_with_times_in_utc()
    {
        var entry = Assert.Single(Read("UID:19970901T130000Z-123401@example.com\nDTSTAMP:19970901T130000Z\nDTSTART:19970903T163000Z\nDTEND:19970903T190000Z\nSUMMARY:Annual Employee Review\nCLASS:PRIVATE\nCATEGORIES:BUSINESS,HUMAN RESOURCES", 1997));
        Assert.Equal(("19970901T130000Z-123401@example.com", Instant.FromUtc(1997, 9, 3, 16, 30), Instant.FromUtc(1997, 9, 3, 19)), (entry.Id, entry.Activity.From, entry.Activity.To));
        Assert.Equal((0, null, false), (entry.Sequence, entry.Modified, entry.IsCancelled));
    }

    [Fact]
    public void Section_3_6_1_an_anniversary_of_a_whole_day_repeats_every_year()
    {
        var entry = Assert.Single(Read("UID:19970901T130000Z-123403@example.com\nDTSTAMP:19970901T130000Z\nDTSTART;VALUE=DATE:19971102\nSUMMARY:Our Blissful Anniversary\nTRANSP:TRANSPARENT\nCLASS:CONFIDENTIAL\nCATEGORIES:ANNIVERSARY,PERSONAL,SPECIAL OCCASION\nRRULE:FREQ=YEARLY", 1999));
        Assert.Equal((Instant.FromUtc(1999, 11, 2), Instant.FromUtc(1999, 11, 3)), (entry.Activity.From, entry.Activity.To));
    }

    [Fact]
    public void Section_3_6_1_an_event_of_several_days_ends_before_its_last_date()
    {
        var entry = Assert.Single(Read("UID:20070423T123432Z-541111@example.com\nDTSTAMP:20070423T123432Z\nDTSTART;VALUE=DATE:20070628\nDTEND;VALUE=DATE:20070709\nSUMMARY:Festival International de Jazz de Montreal\nTRANSP:TRANSPARENT", 2007));
        Assert.Equal((Instant.FromUtc(2007, 6, 28), Instant.FromUtc(2007, 7, 9)), (entry.Activity.From, entry.Activity.To));
    }

    [Fact]
    public void Section_3_1_a_folded_description_is_one_line()
    {
        var entry = Assert.Single(Read("UID:1\nDTSTAMP:19970901T130000Z\nDTSTART:19970903T163000Z\nDESCRIPTION:This is a lo\n ng description\n  that exists on a long line.", 1997));
        Assert.Equal("This is a long description that exists on a long line.", entry.Activity.Description);
    }

    [Fact]
    public void Section_3_8_5_3_daily_for_ten_occurrences_in_new_york()
    {
        var entries = Read("UID:1\nDTSTAMP:19970901T130000Z\nDTSTART;TZID=America/New_York:19970902T090000\nRRULE:FREQ=DAILY;COUNT=10", 1997);
        // "(1997 9:00 AM EDT) September 2-11": EDT is UTC-4.
        Assert.Equal(Enumerable.Range(2, 10).Select(day => Instant.FromUtc(1997, 9, day, 13)), entries.Select(e => e.Activity.From));
    }

    [Fact]
    public void Section_3_8_5_3_weekly_until_a_date_crosses_the_change_to_winter_time()
    {
        var entries = Read("UID:1\nDTSTAMP:19970901T130000Z\nDTSTART;TZID=America/New_York:19970902T090000\nRRULE:FREQ=WEEKLY;UNTIL=19971224T000000Z", 1997);
        // "(1997 9:00 AM EDT) September 2,9,16,23,30; October 7,14,21; (EST) October 28; November 4,11,18,25; December 2,9,16,23".
        Assert.Equal(17, entries.Count);
        Assert.Equal((Instant.FromUtc(1997, 10, 21, 13), Instant.FromUtc(1997, 10, 28, 14)), (entries[7].Activity.From, entries[8].Activity.From));
        Assert.Equal(Instant.FromUtc(1997, 12, 23, 14), entries[^1].Activity.From);
    }

    [Fact]
    public void Section_3_8_7_4_and_3_8_7_3_a_revision_with_its_moment()
    {
        var entry = Assert.Single(Read("UID:1\nDTSTAMP:19970901T130000Z\nDTSTART:19970903T163000Z\nSEQUENCE:2\nLAST-MODIFIED:19960817T133000Z", 1997));
        Assert.Equal((2, Instant.FromUtc(1996, 8, 17, 13, 30)), (entry.Sequence, entry.Modified));
    }

    [Fact]
    public void Section_3_8_1_11_a_cancelled_event_is_told_as_such() =>
        Assert.True(Assert.Single(Read("UID:1\nDTSTAMP:19970901T130000Z\nDTSTART:19970903T163000Z\nSTATUS:CANCELLED", 1997)).IsCancelled);
}
