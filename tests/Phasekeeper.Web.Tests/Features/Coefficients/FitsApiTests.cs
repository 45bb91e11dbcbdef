using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Mvc.Testing;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Access;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients;

/// <summary>Fits and evidence by API: what is answered, what is stored, and what is refused.</summary>
[Collection(MissionHostGroup.Name)]
public sealed class FitsApiTests(MissionHost host)
{
    // Complete orbits with exposures.
    private (int First, int Last) Window
    {
        get
        {
            var complete = host.Stores.Orbits.Newest(50).Where(o => !o.Provisional && o.ReceivedExposures > 0).Select(o => o.Orbit).ToArray();
            return (complete.Min(), complete.Max());
        }
    }

    [Fact]
    public async Task A_fit_answers_numbers_with_their_sigma_and_stores_nothing()
    {
        using var client = Client(Roles.Analyst);
        var (sets, record) = (host.Stores.Coefficients.All().Count, host.Stores.Record.Head().Entries);
        using var answer = await client.PostAsJsonAsync(ApiClient.Address("coefficients/fits"), new { firstOrbit = Window.First, lastOrbit = Window.Last, parts = new[] { "lampReference", "imageShift" }, holdOutEvery = 0 });
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        var trial = await answer.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(1, trial.GetProperty("from").GetInt64());
        Assert.Equal(Window.First, trial.GetProperty("fitted")[0].GetInt32());
        Assert.Contains(trial.GetProperty("warnings").EnumerateArray(), w => w.GetProperty("code").GetString() == "few-orbits");
        Assert.Contains(trial.GetProperty("numbers").EnumerateArray(), n => n.GetProperty("part").GetString() == "imageShift" && n.GetProperty("after").ValueKind == JsonValueKind.Number);
        Assert.Contains(trial.GetProperty("residuals").EnumerateArray(), r => r.GetProperty("measure").GetString() == "image-shift");
        Assert.Equal((sets, record), (host.Stores.Coefficients.All().Count, host.Stores.Record.Head().Entries));
    }

    [Theory]
    [InlineData("""{"lastOrbit":2,"parts":["dark"]}""", "$.firstOrbit: found nothing")]
    [InlineData("""{"firstOrbit":1,"lastOrbit":2}""", "Found no part to fit")]
    [InlineData("""{"firstOrbit":1,"lastOrbit":2,"parts":["colour"]}""", "$.parts[0]")]
    [InlineData("""{"firstOrbit":1,"lastOrbit":2,"parts":["dark"],"orbits":3}""", "orbits")]
    [InlineData("""{"firstOrbit":900000,"lastOrbit":900001,"parts":["dark"]}""", "Found the orbit 900000")]
    public async Task What_cannot_be_fitted_is_refused(string body, string words)
    {
        using var client = Client(Roles.Analyst);
        using var content = new StringContent(body);
        using var answer = await client.PostAsync(ApiClient.Address("coefficients/fits"), content);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        Assert.Contains(words, await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_fit_is_proposed_under_the_persons_name_and_its_evidence_follows()
    {
        using var client = Client(Roles.Analyst);
        using var answer = await client.PostAsJsonAsync(ApiClient.Address("coefficients/fits/proposals"),
            new { firstOrbit = Window.First, lastOrbit = Window.Last, parts = new[] { "imageShift" }, holdOutEvery = 0, name = "shift of the first orbits", reason = "a test" });
        Assert.True(answer.StatusCode == HttpStatusCode.Created, await answer.Content.ReadAsStringAsync());
        var set = await answer.Content.ReadFromJsonAsync<JsonElement>();
        var id = set.GetProperty("id").GetInt64();
        Assert.Equal(("fit", "proposed"), (set.GetProperty("source").GetString(), set.GetProperty("state").GetString()));
        var entry = host.Stores.Record.List(new RecordFilter(), 1).Items[0];
        Assert.Equal((RecordKinds.CoefficientsPropose, DemoAccess.NameOf(Roles.Analyst)), (entry.What, entry.Person));

        using var viewer = Client(Roles.Viewer);
        var evidence = await EvidenceAsync(viewer, id);
        Assert.Equal((1, 1L), (evidence.GetProperty("version").GetInt32(), evidence.GetProperty("against").GetInt64()));
        Assert.NotEmpty(evidence.GetProperty("windsByView").EnumerateArray());
        Assert.True(evidence.GetProperty("reprocessing").GetProperty("orbits").GetInt32() > 0);
        using var again = await client.PostAsync(ApiClient.Address($"coefficients/proposals/{id}/evidence"), null);
        Assert.Equal(HttpStatusCode.Accepted, again.StatusCode);
        Assert.Equal(JsonValueKind.Object, (await again.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("progress").ValueKind);
        using var forbidden = await viewer.PostAsync(ApiClient.Address($"coefficients/proposals/{id}/evidence"), null);
        Assert.Equal(HttpStatusCode.Forbidden, forbidden.StatusCode);
        await DeclineAsync(id);
    }

    [Fact]
    public async Task A_fit_that_was_tried_is_proposed_with_its_numbers_and_its_evidence_says_where_it_stands()
    {
        using var client = Client(Roles.Analyst);
        using var tried = await client.PostAsJsonAsync(ApiClient.Address("coefficients/fits"), new { firstOrbit = Window.First, lastOrbit = Window.Last, parts = new[] { "imageShift" }, holdOutEvery = 0 });
        var trial = await tried.Content.ReadFromJsonAsync<JsonElement>();
        using var unknown = await client.PostAsJsonAsync(ApiClient.Address("coefficients/fits/proposals"), new { trial = "0000", name = "of no trial", reason = "a test" });
        Assert.Equal(HttpStatusCode.NotFound, unknown.StatusCode);
        Assert.Contains("Try it again", await unknown.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using var answer = await client.PostAsJsonAsync(ApiClient.Address("coefficients/fits/proposals"), new { trial = trial.GetProperty("trial").GetString(), name = "shift as tried", reason = "a test" });
        Assert.True(answer.StatusCode == HttpStatusCode.Created, await answer.Content.ReadAsStringAsync());
        var id = (await answer.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
        Assert.Equal(trial.GetProperty("numbers").EnumerateArray().Select(n => n.GetProperty("after").GetDouble()), FitDocument.Read(host.Stores.Coefficients.Fit(id)!).Numbers.Select(n => n.After));

        using var viewer = Client(Roles.Viewer);
        await EvidenceAsync(viewer, id);
        var item = await viewer.GetFromJsonAsync<JsonElement>(ApiClient.Address($"coefficients/proposals/{id}/evidence"));
        Assert.False(item.GetProperty("ground").GetProperty("hasMoved").GetBoolean());
        Assert.Equal(16, item.GetProperty("ground").GetProperty("now").GetString()!.Length);
        Assert.True(item.GetProperty("reprocessing").GetProperty("orbits").GetInt32() > 0);
        Assert.Contains("s an orbit", item.GetProperty("reprocessing").GetProperty("basis").GetString(), StringComparison.Ordinal);
        using var wrong = await client.PostAsJsonAsync(ApiClient.Address($"coefficients/proposals/{id}/evidence"), new { fromOrbit = 1 });
        Assert.Equal(HttpStatusCode.BadRequest, wrong.StatusCode);
        using var lead = Client(Roles.CalibrationLead);
        using var blind = await lead.PostAsJsonAsync(ApiClient.Address($"coefficients/{id}/approve"), new { reason = "another ground", evidence = item.GetProperty("evidenceId").GetInt64(), ground = "0123456789abcdef" });
        Assert.Equal(HttpStatusCode.Conflict, blind.StatusCode);
        await DeclineAsync(id);
    }

    // Evidence that was asked for again may come between looking and deciding: then look again.
    private async Task DeclineAsync(long id)
    {
        using var lead = Client(Roles.CalibrationLead);
        for (var tries = 0; ; tries++)
        {
            var seen = (await lead.GetFromJsonAsync<JsonElement>(ApiClient.Address($"coefficients/proposals/{id}/evidence"))).GetProperty("evidenceId").GetInt64();
            using var decline = await lead.PostAsJsonAsync(ApiClient.Address($"coefficients/{id}/decline"), new { reason = "the test is over", evidence = seen });
            if (decline.IsSuccessStatusCode) return;
            Assert.True(decline.StatusCode == HttpStatusCode.Conflict && tries < 3, await decline.Content.ReadAsStringAsync());
        }
    }

    private static async Task<JsonElement> EvidenceAsync(HttpClient client, long id)
    {
        using var patience = new CancellationTokenSource(TimeSpan.FromMinutes(3));
        while (true)
        {
            var item = await client.GetFromJsonAsync<JsonElement>(ApiClient.Address($"coefficients/proposals/{id}/evidence"), patience.Token);
            if (item.GetProperty("evidence").ValueKind == JsonValueKind.Object) return item.GetProperty("evidence");
            Assert.True(item.GetProperty("progress").ValueKind == JsonValueKind.Null || item.GetProperty("progress").GetProperty("failure").ValueKind == JsonValueKind.Null, item.GetRawText());
            await Task.Delay(100, patience.Token);
        }
    }

    private HttpClient Client(string role)
    {
        var client = host.CreateClient(new WebApplicationFactoryClientOptions { HandleCookies = false });
        client.DefaultRequestHeaders.Add("Cookie", $"{DemoAccess.RoleCookie}={role}");
        return client;
    }
}
