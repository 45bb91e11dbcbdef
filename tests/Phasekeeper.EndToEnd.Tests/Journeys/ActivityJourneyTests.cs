using System.Text;
using Microsoft.Playwright;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.EndToEnd.Tests.Journeys;

/// <summary>Activity import in a real browser: a calendar is looked at before it is taken in, and the flag of the gap that it plans is marked.</summary>
public sealed class ActivityJourneyTests(MissionServer server, Chromium chromium) : IClassFixture<MissionServer>, IClassFixture<Chromium>
{
    private const float Patience = 60_000;

    [Fact]
    public async Task A_calendar_is_previewed_taken_in_and_marks_the_flag_that_it_explains()
    {
        // The server's mission has no packets from 3 h to 5.5 h.
        var start = DemoScenario.Default.Start;
        var calendar = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//journey//EN\r\nBEGIN:VEVENT\r\nUID:upload-7\r\nDTSTAMP:20310101T000000Z\r\n"
            + $"DTSTART:{Stamp(start.AddSeconds(2.9 * 3600))}\r\nDTEND:{Stamp(start.AddSeconds(5.5 * 3600))}\r\nSUMMARY:Upload 7\r\nCATEGORIES:software-upload\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        await using var context = await chromium.Browser.NewContextAsync();
        context.SetDefaultTimeout(Patience);
        var page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(server.Address, "activities").ToString());
        var file = page.GetByLabel("File");
        await file.And(page.Locator(":enabled")).WaitForAsync();
        await file.SetInputFilesAsync(new FilePayload { Name = "plan.ics", MimeType = "text/calendar", Buffer = Encoding.ASCII.GetBytes(calendar) });
        await Assertions.Expect(page.GetByText("plan.ics: 1 new.")).ToBeVisibleAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Take it in" }).ClickAsync();
        await Assertions.Expect(page.GetByRole(AriaRole.Link, new() { Name = "Upload 7" })).ToBeVisibleAsync(new() { Timeout = Patience });

        var flag = (await server.Json("/api/v1/flags?rule=data-gap")).GetProperty("items")[0].GetProperty("id").GetString()!;
        await page.GotoAsync(new Uri(server.Address, $"flags/{flag}").ToString());
        await Assertions.Expect(page.Locator(".flag-activity")).ToContainTextAsync("Explained by the planned activity Upload 7", new() { Timeout = Patience });
    }

    private static string Stamp(Instant time) => time.ToDateTimeUtc().ToString("yyyyMMdd'T'HHmmss'Z'", System.Globalization.CultureInfo.InvariantCulture);
}
