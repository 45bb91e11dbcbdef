using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Activities;

/// <summary>Activities by the API, as scripts of the team use it.</summary>
public sealed class ActivitiesApiTests(WebHost host) : IClassFixture<WebHost>
{
    private async Task<(HttpStatusCode Status, JsonElement Answer)> AskAsync(HttpMethod method, string call, string body, string role = Roles.Operator)
    {
        using var client = host.CreateClient(new() { HandleCookies = false });
        using var request = new HttpRequestMessage(method, ApiClient.Address(call)) { Content = new StringContent(body, Encoding.UTF8, "application/json") };
        request.Headers.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        using var answer = await client.SendAsync(request);
        return (answer.StatusCode, await answer.Content.ReadFromJsonAsync<JsonElement>());
    }

    private static string Body(string title, string? revision = null, string kind = "yaw-turn") =>
        $$"""{"kind":"{{kind}}","title":"{{title}}","from":"2031-05-10T12:00:00Z","to":"2031-05-10T13:00:00Z"{{(revision is null ? "" : $",\"revision\":\"{revision}\"")}}}""";

    [Fact]
    public async Task Entered_changed_and_cancelled_and_the_second_of_two_is_told()
    {
        var (_, entered) = await AskAsync(HttpMethod.Post, "activities", Body("Turn to south"));
        var (id, revision) = (entered.GetProperty("id").GetString()!, entered.GetProperty("revision").GetString()!);
        var (_, changed) = await AskAsync(HttpMethod.Put, $"activities/{id}", Body("Turn to north", revision));
        Assert.Equal(("Turn to north", 1), (changed.GetProperty("title").GetString(), changed.GetProperty("sequence").GetInt32()));

        var (status, second) = await AskAsync(HttpMethod.Put, $"activities/{id}", Body("Turn to east", revision));
        Assert.Equal(HttpStatusCode.Conflict, status);
        Assert.Contains("Turn to north", second.GetProperty("detail").GetString(), StringComparison.Ordinal);

        var (_, cancelled) = await AskAsync(HttpMethod.Post, $"activities/{id}/cancel", $$"""{"revision":"{{changed.GetProperty("revision").GetString()}}","reason":"no fuel"}""");
        Assert.Equal("cancelled", cancelled.GetProperty("status").GetString());
        using var client = host.CreateClient();
        Assert.Contains(await new ApiClient(client).Json("activities?from=2031-05-10T00:00:00Z&to=2031-05-11T00:00:00Z"), a => a.GetProperty("id").GetString() == id);
        Assert.Contains($"UID:{id}", await client.GetStringAsync(ApiClient.Address("activities.ics")), StringComparison.Ordinal);
        Assert.Equal(["activity.cancel", "activity.change", "activity.add"], host.Stores.Record.List(new RecordFilter { Subject = id }, 10).Items.Select(e => e.What));
    }

    [Fact]
    public async Task A_viewer_looks_and_changes_nothing() =>
        Assert.Equal(HttpStatusCode.Forbidden, (await AskAsync(HttpMethod.Post, "activities", Body("Turn"), Roles.Viewer)).Status);

    [Theory]
    [InlineData("{}", "is missing")]
    [InlineData("""{"kindd":"x"}""", "cannot be read")]
    [InlineData("""{"kind":"spin","title":"t","from":"2031-05-10T12:00:00Z","to":"2031-05-10T13:00:00Z"}""", "Found the kind 'spin'; expected one of")]
    public async Task What_is_wrong_is_said(string body, string message)
    {
        var (status, answer) = await AskAsync(HttpMethod.Post, "activities", body);
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains(message, answer.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_calendar_is_shown_first_and_a_bad_one_is_refused_with_its_lines()
    {
        const string calendar = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//EN\r\nBEGIN:VEVENT\r\nUID:shown\r\nDTSTAMP:20310101T000000Z\r\nDTSTART:20310511T120000Z\r\nDTEND:20310511T130000Z\r\nSUMMARY:Bake-out\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
        var (_, preview) = await AskAsync(HttpMethod.Post, "activities/import?preview=true", calendar);
        Assert.False(preview.GetProperty("taken").GetBoolean());
        Assert.Equal("new", preview.GetProperty("items")[0].GetProperty("change").GetString());
        Assert.DoesNotContain(host.Stores.Auxiliary.List(AuxiliaryKind.Activities), f => f.Name == "plan.ics");
        var (_, taken) = await AskAsync(HttpMethod.Post, "activities/import?name=plan.ics", calendar);
        Assert.True(taken.GetProperty("taken").GetBoolean());
        await host.WaitUntilIdle();
        Assert.Equal("unchanged", (await AskAsync(HttpMethod.Post, "activities/import?preview=true", calendar)).Answer.GetProperty("items")[0].GetProperty("change").GetString());
        var (status, refused) = await AskAsync(HttpMethod.Post, "activities/import?name=bad.ics", calendar.Replace("DTSTART:2031", "DTSTART:31-", StringComparison.Ordinal));
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains("Line 7: found DTSTART", refused.GetProperty("detail").GetString(), StringComparison.Ordinal);
    }
}
