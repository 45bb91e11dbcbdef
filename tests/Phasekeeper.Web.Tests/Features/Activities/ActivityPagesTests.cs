using Bunit;
using Microsoft.AspNetCore.Components.Forms;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Activities;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Activities;

/// <summary>The page Activities, rendered on a mission.</summary>
[Collection(MissionHostGroup.Name)]
public sealed class ActivityPagesTests : MissionPageTests
{
    private static readonly Actor Ada = new("ada", Roles.Operator, "10.0.0.2");
    private readonly ActivityDesk desk;

    public ActivityPagesTests(MissionHost host)
        : base(host)
    {
        desk = Share<ActivityDesk>();
        Share<ActivityImport>();
        SetRendererInfo(new("Server", true));
    }

    private async Task<ActivityEntry> EnterAsync(string title)
    {
        var from = Host.Stores.Archive.LastPacketTime!.Value.AddSeconds(3600);
        return await desk.AddAsync(new("yaw-turn", title, from, from.AddSeconds(600)), Ada);
    }

    [Fact]
    public async Task An_activity_is_entered_on_the_page()
    {
        var page = Render<ActivitiesPage>();
        page.WaitForElement("input[placeholder]");
        await page.InvokeAsync(() => page.FindAll(".form-field input")[0].Change("Turn to the south"));
        await page.InvokeAsync(() => page.Find(".form-field select").Change("yaw-turn"));
        await page.InvokeAsync(() => page.FindAll("input[placeholder]")[0].Change("2031-05-10 12:00"));
        await page.InvokeAsync(() => page.FindAll("input[placeholder]")[1].Change("2031-05-10 12:30:30"));
        await page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent == "Enter").Click());
        page.WaitForAssertion(() => Assert.Contains(desk.Plans.Current().Entries, e => e.Activity.Summary == "Turn to the south" && e.Version!.Actor == "someone" && e.Activity.To == Instant.FromUtc(2031, 5, 10, 12, 30, 30)));
    }

    [Fact]
    public async Task The_second_of_two_is_told_and_keeps_the_text()
    {
        var entry = await EnterAsync("Turn A");
        var form = Render<ActivityForm>(p => p.Add(f => f.Entry, entry));
        await desk.ChangeAsync(entry.Id, entry.Revision, new("yaw-turn", "Turn by ada", entry.Activity.From, entry.Activity.To), Ada);
        await form.InvokeAsync(() => form.FindAll(".form-field input")[0].Change("Turn by me"));
        await form.InvokeAsync(() => form.FindAll("button").First(b => b.TextContent == "Save the change").Click());
        form.WaitForAssertion(() => Assert.Contains("ada changed it", form.Find("[role=alert]").TextContent, StringComparison.Ordinal));
        Assert.Equal("Turn by me", form.FindAll(".form-field input")[0].GetAttribute("value"));
        Assert.Equal("Turn by ada", desk.Plans.Current().Find(entry.Id)!.Activity.Summary);
    }

    [Fact]
    public async Task A_cancelled_one_stays_to_be_seen_with_its_history()
    {
        var entry = await EnterAsync("Turn B");
        await desk.CancelAsync(entry.Id, entry.Revision, "no fuel", Ada);
        Navigation.NavigateTo($"/activities?when=cancelled&id={entry.Id}");
        var page = Render<ActivitiesPage>();
        page.WaitForAssertion(() => Assert.Contains("Turn B", page.Find(".activity-line").TextContent, StringComparison.Ordinal));
        Assert.Contains("no fuel", page.Find(".activity-history").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public void A_calendar_shows_what_it_would_change_and_a_bad_one_its_lines()
    {
        const string calendar = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:page\r\nDTSTAMP:20310101T000000Z\r\nDTSTART:20310511T120000Z\r\nDTEND:20310511T130000Z\r\nSUMMARY:Bake-out\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        var panel = Render<CalendarPanel>();
        panel.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText(calendar, "plan.ics"));
        panel.WaitForAssertion(() => Assert.Contains("1 new", panel.Markup, StringComparison.Ordinal));
        Assert.Null(desk.Plans.Current().Find("page"));
        panel.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText(calendar.Replace("UID:page", "SEQUENCE:x", StringComparison.Ordinal), "bad.ics"));
        panel.WaitForAssertion(() => Assert.Contains("Line 5", panel.Markup, StringComparison.Ordinal));
        Assert.DoesNotContain(panel.FindAll("button"), b => b.TextContent == "Take it in");
    }

    [Fact]
    public void Times_are_read_as_people_type_them()
    {
        Assert.Equal(Instant.FromUtc(2031, 3, 10, 12), ActivityWhen.Parse("2031-03-10 12:00"));
        Assert.Equal(Instant.FromUtc(2031, 3, 10, 12, 0, 5), ActivityWhen.Parse(" 2031-03-10T12:00:05Z"));
        Assert.Null(ActivityWhen.Parse("10.3.2031 12:00"));
        Assert.Null(ActivityWhen.Parse("9999-03-10 12:00")); // beyond the years that there are
    }
}
