using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Annotations;

public sealed class AnnotationsApiTests(WebHost host) : IClassFixture<WebHost>
{
    private readonly ApiClient api = new(host.CreateClient());

    private static JsonContent Note(string from, string? to, string text) => JsonContent.Create(new { from, to, text, line = "green" });

    private async Task<long> AddAsync(string from, string? to, string text)
    {
        using var answer = await api.Client.PostAsync(ApiClient.Address("annotations"), Note(from, to, text));
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        return (await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
    }

    [Fact]
    public async Task A_note_is_pinned_drawn_on_plots_of_its_time_listed_and_retired_with_its_entries()
    {
        var id = await AddAsync("2031-05-09T10:00:00Z", "2031-05-09T10:20:00Z", " Lamp <warmed> up twice ");
        var item = Assert.Single(await api.Json("annotations?from=2031-05-09T10:10:00Z&to=2031-05-09T10:11:00Z"));
        Assert.Equal(("Lamp <warmed> up twice", "green", DemoAccess.NameOf(Roles.Analyst)), (item.GetProperty("text").GetString(), item.GetProperty("line").GetString(), item.GetProperty("actor").GetString()));
        // A real plot address: the filter stands before all of them.
        var plot = await api.Client.GetFromJsonAsync<JsonElement>(ApiClient.Address("plots/today?from=2031-05-09T09:00:00Z&to=2031-05-09T12:00:00Z"));
        Assert.Equal("Lamp <warmed> up twice", Assert.Single(plot.GetProperty("notes").EnumerateArray()).GetProperty("text").GetString());
        Assert.Contains("1 note of the team", plot.GetProperty("summary").GetString(), StringComparison.Ordinal);
        var outside = await api.Client.GetFromJsonAsync<JsonElement>(ApiClient.Address("plots/today?from=2031-05-09T11:00:00Z&to=2031-05-09T12:00:00Z"));
        Assert.Equal(0, outside.GetProperty("notes").GetArrayLength());
        using (var retired = await api.Client.PostAsync(ApiClient.Address($"annotations/{id}/retire"), null)) Assert.Equal(HttpStatusCode.NoContent, retired.StatusCode);
        Assert.Empty(await api.Json("annotations?from=2031-05-09T10:10:00Z&to=2031-05-09T10:11:00Z"));
        Assert.Contains("was retired by", await api.Refused($"annotations/{id}/retire", HttpStatusCode.Conflict, HttpMethod.Post), StringComparison.Ordinal);
        Assert.Equal([RecordKinds.AnnotationRetire, RecordKinds.AnnotationAdd], host.Stores.Record.List(new() { Subject = $"note {id}" }, 10).Items.Select(e => e.What));
    }

    [Fact]
    public async Task Without_an_end_it_is_an_instant()
    {
        await AddAsync("2031-06-09T10:00:00Z", null, "a moment");
        Assert.Single(await api.Json("annotations?from=2031-06-09T10:00:00Z&to=2031-06-09T10:00:01Z"));
        Assert.Empty(await api.Json("annotations?from=2031-06-09T09:00:00Z&to=2031-06-09T10:00:00Z"));
    }

    [Fact]
    public async Task What_is_no_note_is_refused_with_the_reason()
    {
        Assert.Contains("before it begins", await RefusedAsync(Note("2031-05-09T10:00:00Z", "2031-05-09T09:00:00Z", "x")), StringComparison.Ordinal);
        Assert.Contains("expected 1 to 300", await RefusedAsync(Note("2031-05-09T10:00:00Z", null, "  ")), StringComparison.Ordinal);
        Assert.Contains("on one line", await RefusedAsync(Note("2031-05-09T10:00:00Z", null, "a\nb")), StringComparison.Ordinal);
        Assert.Contains("at most 35", await RefusedAsync(Note("2031-05-09T10:00:00Z", "2031-07-09T10:00:00Z", "x")), StringComparison.Ordinal);
        Assert.Contains("$.from", await RefusedAsync(JsonContent.Create(new { text = "x" })), StringComparison.Ordinal);
        Assert.Contains("cannot be read", await RefusedAsync(new StringContent("{ oops")), StringComparison.Ordinal);
        await api.Refused("annotations/999999/retire", HttpStatusCode.NotFound, HttpMethod.Post);
    }

    private Task<string> RefusedAsync(HttpContent body) => api.Refused("annotations", HttpStatusCode.BadRequest, HttpMethod.Post, body);
}
