using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Features.WindCompare;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Days;

/// <summary>Days, sign-offs, holds and notes over the API, on a mission of a quarter of an hour of winds whose day is over.</summary>
public sealed class DaysApiTests(ShortMission host) : IClassFixture<ShortMission>, IAsyncLifetime
{
    // The exposures begin at midnight, in the last orbit of the day before.
    private static readonly DateOnly Day = ShortMission.Start.UtcDate.AddDays(-1);

    private static string Date => Word(Day);

    private static string Word(DateOnly day) => day.ToString("yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);

    // A packet of the next day moves mission time behind the day's last orbit.
    public async Task InitializeAsync()
    {
        var mission = new ScenarioGenerator(DemoScenario.Default, events: []);
        var next = ShortMission.Start.AddSeconds(86400 + 6000);
        await host.Post(mission.PacketsFor(next, next.AddSeconds(2)));
        await host.WaitUntilIdle();
    }

    public Task DisposeAsync() => Task.CompletedTask;

    private async Task<(HttpStatusCode Status, JsonElement Body)> PostAsync(string call, string body, string role = Roles.Operator)
    {
        using var client = host.CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        client.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        using var answer = await client.PostAsync(ApiClient.Address(call), new StringContent(body, Encoding.UTF8, "application/json"));
        return (answer.StatusCode, await answer.Content.ReadFromJsonAsync<JsonElement>());
    }

    private async Task<JsonElement> SheetAsync()
    {
        using var answer = await host.Api.Client.GetAsync(ApiClient.Address("days/" + Date));
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        return await answer.Content.ReadFromJsonAsync<JsonElement>();
    }

    private static string State(JsonElement sheet) => sheet.GetProperty("day").GetProperty("state").GetString()!;

    private static string Ground(JsonElement sheet) => sheet.GetProperty("ground").GetString()!;

    [Fact]
    public async Task A_day_is_proposed_signed_changed_and_signed_again_and_held_winds_say_so_everywhere()
    {
        var sheet = await SheetAsync();
        Assert.Equal("unsigned", State(sheet));
        // A quarter of an hour is no day.
        Assert.Equal("held", sheet.GetProperty("day").GetProperty("proposed").GetString());
        Assert.Contains(sheet.GetProperty("reasons").EnumerateArray(), r => r.GetProperty("asks").GetString() == "held");
        var orbit = sheet.GetProperty("orbits").EnumerateArray().Last().GetProperty("orbit").GetInt32();
        var before = (await host.Api.Json("winds/los")).Select(w => w.GetProperty("windMs").GetRawText()).ToArray();
        Assert.All(await host.Api.Json("winds/vector"), w => Assert.False(w.GetProperty("held").GetBoolean()));

        // Other than proposed needs a reason, and what was not seen is not signed.
        var (refused, problem) = await PostAsync($"days/{Date}/sign-off", $$"""{"verdict":"usable","ground":"{{Ground(sheet)}}"}""");
        Assert.Equal(HttpStatusCode.Conflict, refused);
        Assert.Contains("needs a reason", problem.GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Conflict, (await PostAsync($"days/{Date}/sign-off", """{"verdict":"held","ground":"other"}""")).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await PostAsync($"days/{Date}/sign-off", $$"""{"verdict":"held","ground":"{{Ground(sheet)}}"}""", Roles.Viewer)).Status);
        Assert.Equal("unsigned", State(await SheetAsync()));

        var (status, signed) = await PostAsync($"days/{Date}/sign-off", $$"""{"verdict":"remarks","remark":"A rehearsal.","ground":"{{Ground(sheet)}}"}""");
        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal(("signed", "remarks", true), (State(signed), signed.GetProperty("day").GetProperty("verdict").GetString(), signed.GetProperty("day").GetProperty("overruled").GetBoolean()));
        Assert.Equal((RecordKinds.DaySignOff, Date, "A rehearsal."), host.Stores.Record.List(new() { What = RecordKinds.DaySignOff }, 1).Items.Select(e => (e.What, e.Subject, e.Reason!)).Single());

        // A second person with the same sheet before them comes too late, and is told of the first.
        var (late, told) = await PostAsync($"days/{Date}/sign-off", $$"""{"verdict":"held","ground":"{{Ground(sheet)}}"}""", Roles.Analyst);
        Assert.Equal(HttpStatusCode.Conflict, late);
        Assert.Contains($"{DemoAccess.NameOf(Roles.Operator)} signed it off as remarks", told.GetProperty("detail").GetString(), StringComparison.Ordinal);

        // A hold changes the signed day, marks the winds, and leaves them as they were.
        Assert.Equal(HttpStatusCode.Conflict, (await PostAsync($"orbits/{orbit}/hold", """{"reason":" "}""")).Status);
        Assert.Equal(HttpStatusCode.OK, (await PostAsync($"orbits/{orbit}/hold", """{"reason":"Winds jump."}""")).Status);
        Assert.Equal(HttpStatusCode.Conflict, (await PostAsync($"orbits/{orbit}/hold", """{"reason":"Winds jump."}""")).Status);
        var changed = await SheetAsync();
        Assert.Equal("changed", State(changed));
        Assert.Contains($"Held by a person: orbit {orbit}.", changed.GetProperty("since").EnumerateArray().Select(c => c.GetProperty("text").GetString()));
        var winds = await host.Api.Json("winds/los");
        Assert.All(winds, w => Assert.Equal(w.GetProperty("orbit").GetInt32() == orbit, w.GetProperty("held").GetBoolean()));
        Assert.Equal(before, winds.Select(w => w.GetProperty("windMs").GetRawText()));
        Assert.Contains(await host.Api.Json("orbits"), o => o.GetProperty("orbit").GetInt32() == orbit && o.GetProperty("held").GetBoolean());
        Assert.Equal(HttpStatusCode.OK, (await PostAsync($"orbits/{orbit}/release", """{"reason":"Seen, it is the terminator."}""")).Status);
        Assert.Equal("signed", State(await SheetAsync()));

        // Held with its day: every orbit that begins on it, in lists, files and pages.
        var (again, held) = await PostAsync($"days/{Date}/sign-off", $$"""{"verdict":"held","ground":"{{Ground(await SheetAsync())}}"}""");
        Assert.Equal(HttpStatusCode.OK, again);
        Assert.Equal(2, held.GetProperty("signOffs").GetArrayLength());
        var ofDay = held.GetProperty("orbits").EnumerateArray().Select(o => o.GetProperty("orbit").GetInt32()).ToHashSet();
        var los = await host.Api.Json("winds/los");
        Assert.Contains(los, w => w.GetProperty("held").GetBoolean());
        Assert.All(los, w => Assert.Equal(ofDay.Contains(w.GetProperty("orbit").GetInt32()), w.GetProperty("held").GetBoolean()));
        var (columns, rows) = await host.Api.Csv("winds/vector");
        Assert.Equal("held", columns[^1]);
        Assert.All(rows, r => Assert.Equal(ofDay.Contains(int.Parse(r[Array.IndexOf(columns, "orbit")], System.Globalization.CultureInfo.InvariantCulture)) ? "true" : "false", r[^1]));
        var file = Encoding.Latin1.GetString(await host.Api.Client.GetByteArrayAsync(ApiClient.Address($"winds/{Word(ShortMission.Start.UtcDate)}.nc")));
        Assert.Contains($"orbits that begin on {Date}: signed off as held at", file, StringComparison.Ordinal);
        Assert.Contains("held_with_its_day", file, StringComparison.Ordinal);
        foreach (var page in new[] { "/winds?date=" + Date, "/day/" + Date, $"/orbit/{ofDay.Max()}" })
            Assert.Contains("held", await host.Api.Client.GetStringAsync(new Uri(page, UriKind.Relative)), StringComparison.Ordinal);
        var mission = host.Services.GetRequiredService<PipelineEngine>().Mission!;
        var choice = new CompareChoice(Day, null, "green", Core.WindMeans.WindComponent.Eastward, 5, CompareBase.Of(null), true);
        Assert.Equal(ofDay.Order(), new CompareQueries(host.Stores).LeftOut(mission, choice));
        Assert.Empty(new CompareQueries(host.Stores).Altitudes(mission, choice));
        Assert.Equal("held", host.Stores.SignOffs.Newest(DayReader.DayNumber(Day))!.Verdict);

        var days = await host.Api.Json("days");
        Assert.Contains(days, d => d.GetProperty("date").GetString() == Date && d.GetProperty("state").GetString() == "signed");
        Assert.Equal(days.Select(d => d.GetRawText()), (await host.Api.Paged("days", 1)).Select(d => d.GetRawText()));
    }

    [Fact]
    public async Task A_note_goes_from_shift_to_shift_and_says_who_read_it()
    {
        Assert.Equal(HttpStatusCode.Conflict, (await PostAsync("hand-over", """{"text":""}""")).Status);
        var (status, note) = await PostAsync("hand-over", $$"""{"text":"Keep an eye on view F.","day":"{{Date}}"}""");
        Assert.Equal(HttpStatusCode.OK, status);
        var id = note.GetProperty("id").GetInt64();
        Assert.Equal(HttpStatusCode.OK, (await PostAsync($"hand-over/{id}/read", "", Roles.Analyst)).Status);
        Assert.Equal(HttpStatusCode.Conflict, (await PostAsync($"hand-over/{id}/read", "", Roles.Analyst)).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await PostAsync("hand-over/999/read", "")).Status);
        var stored = (await host.Api.Json("hand-over")).Single(n => n.GetProperty("id").GetInt64() == id);
        Assert.Equal((Date, "Keep an eye on view F.", DemoAccess.NameOf(Roles.Analyst)), (stored.GetProperty("day").GetString(), stored.GetProperty("text").GetString(), stored.GetProperty("readBy")[0].GetString()));
    }

    [Fact]
    public async Task What_cannot_be_signed_says_why()
    {
        Assert.StartsWith("Found the day 'junk'", await host.Api.Refused("days/junk", HttpStatusCode.BadRequest), StringComparison.Ordinal);
        Assert.Contains("No orbit of this mission", await host.Api.Refused("days/2040-01-01", HttpStatusCode.NotFound), StringComparison.Ordinal);
        var (status, problem) = await PostAsync($"days/{Date}/sign-off", """{"verdict":"perfect","ground":"x"}""");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains("expected one of usable, remarks, held", problem.GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.BadRequest, (await PostAsync($"days/{Date}/sign-off", """{"verdict":"usable"}""")).Status);
        Assert.Equal(HttpStatusCode.NotFound, (await PostAsync("orbits/999999/hold", """{"reason":"x"}""")).Status);
    }
}
