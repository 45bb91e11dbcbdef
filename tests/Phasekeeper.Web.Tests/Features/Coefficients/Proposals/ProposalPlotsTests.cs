using System.Net;
using System.Text.Json;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients.Proposals;

public sealed class ProposalPlotsTests(WebHost host) : CoefficientPages(host), IClassFixture<WebHost>
{
    [Fact]
    public async Task Residuals_are_points_with_held_out_orbits_drawn_open_and_no_line_over_a_gap()
    {
        var plot = await PlotAsync($"{await WithEvidenceAsync("residuals")}/residuals?measure=lamp");
        var traces = plot.GetProperty("traces").EnumerateArray().ToArray();
        Assert.Equal(["before, fitted", "before, held out", "after, fitted", "after, held out"], traces.Select(t => t.GetProperty("name").GetString()));
        Assert.All(traces, t => Assert.Equal("points", t.GetProperty("kind").GetString()));
        Assert.Equal([false, true, false, true], traces.Select(t => t.GetProperty("open").GetBoolean()));
        // Orbit 4603 has no residual: it is in no trace.
        Assert.Equal([4600, 4601, 4604], traces[0].Numbers("orbit"));
        Assert.Equal([4602.0, 4605.0], traces[3].Numbers("orbit"));
        Assert.Equal([12.0, 13.0, 16.0], traces[0].Numbers("y"));
        Assert.Equal([6.0, 9.0], traces[3].Numbers("y"));
        Assert.Contains("2 orbits held out (open signs), 3 fitted", plot.GetProperty("summary").GetString(), StringComparison.Ordinal);
        Assert.Equal("View F, green", plot.GetProperty("y")[0].GetProperty("title").GetString());
        Assert.Equal("m/s", plot.GetProperty("y")[0].GetProperty("unit").GetString());
    }

    [Fact]
    public async Task Orbits_after_those_of_the_fit_have_signs_of_their_own()
    {
        var id = await ProposeAsync("later residuals", 463);
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.WithLater(1, NameOf(1), 463)));
        var plot = await PlotAsync($"{id}/residuals?measure=lamp");
        var traces = plot.GetProperty("traces").EnumerateArray().ToArray();
        Assert.Equal(["before, fitted", "before, held out", "before, held out after", "after, fitted", "after, held out", "after, held out after"], traces.Select(t => t.GetProperty("name").GetString()));
        Assert.Equal([4606.0, 4607.0], traces[5].Numbers("orbit"));
        Assert.True(traces[5].GetProperty("open").GetBoolean());
        Assert.Contains("4 orbits held out (open signs), 2 of them after the fit's orbits, 3 fitted", plot.GetProperty("summary").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("altitude", "km", 90.0)]
    [InlineData("latitude", "°", -35.0)]
    public async Task Winds_change_beside_their_own_sigma(string by, string unit, double first)
    {
        var plot = await PlotAsync($"{await WithEvidenceAsync("winds by " + by)}/winds?by={by}");
        Assert.Equal(unit, plot.GetProperty("x").GetProperty("unit").GetString());
        Assert.Equal(first, plot.Trace("F, green").Numbers("x")[0]);
        Assert.All(plot.Trace("F, green: rms").Numbers("y"), y => Assert.Equal(3.1, y));
        Assert.All(plot.Trace("F, green: 1σ of a wind").Numbers("y"), y => Assert.Equal(5.2, y));
    }

    [Fact]
    public async Task Without_evidence_there_is_nothing_to_draw_and_wrong_words_are_told()
    {
        var id = await ProposeAsync("nothing computed", 461);
        Assert.Empty((await PlotAsync($"{id}/residuals")).GetProperty("traces").EnumerateArray());
        Assert.Empty((await PlotAsync("99999/winds?by=altitude")).GetProperty("traces").EnumerateArray());
        using var client = Host.CreateClient();
        using var answer = await client.GetAsync(new Uri($"/api/v1/plots/coefficients/{id}/winds?by=colour", UriKind.Relative));
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    private async Task<long> WithEvidenceAsync(string name)
    {
        var id = await ProposeAsync(name, 462);
        await Desk.AddEvidenceAsync(id, 1, EvidenceJson.Write(SampleEvidence.Of(1, NameOf(1), 462)));
        return id;
    }

    private async Task<JsonElement> PlotAsync(string path)
    {
        using var client = Host.CreateClient();
        return JsonElement.Parse(await client.GetStringAsync(new Uri("/api/v1/plots/coefficients/" + path, UriKind.Relative)));
    }
}
