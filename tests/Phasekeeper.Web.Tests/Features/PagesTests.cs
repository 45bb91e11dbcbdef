using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features;

/// <summary>Pages as the server renders them for a mission with data, and the plots that they ask for.</summary>
[Collection(MissionHostGroup.Name)]
public sealed class PagesTests(MissionHost host)
{
    [Fact]
    public async Task Today_answers_the_mornings_questions_and_has_a_cell_for_each_orbit()
    {
        var page = await host.Page("/");
        Assert.Contains("Did every orbit arrive?", page, StringComparison.Ordinal);
        Assert.Contains("Did the thermal correction hold?", page, StringComparison.Ordinal);
        foreach (var orbit in host.Stores.Orbits.Newest(3)) Assert.Contains($"href=\"/orbit/{orbit.Orbit}\"", page, StringComparison.Ordinal);
        Assert.Contains("Interferometer", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Today_of_a_moment_before_the_data_says_so() =>
        Assert.Contains("No orbit yet", await host.Page("/?to=2020-01-01T00:00:00Z"), StringComparison.Ordinal);

    [Theory]
    [InlineData("/flags", "Narrow the list")]
    [InlineData("/activities", "Take in a calendar")]
    [InlineData("/activities?id=none", "None is opened")]
    [InlineData("/flags/none", "There is no such flag")]
    [InlineData("/rules", "Rules in force")]
    [InlineData("/rules/data-gap", "notice limit")]
    [InlineData("/rules/none", "There is no such rule")]
    [InlineData("/rules/proposals/999", "There is no such proposal")]
    [InlineData("/rules/proposals/x", "There is no such proposal")]
    [InlineData("/data", "Log of what came in")]
    [InlineData("/data?tab=quarantine", "Nothing is waiting")]
    [InlineData("/data?tab=files", "orbit.oem")]
    [InlineData("/data?tab=upload", "Choose files")]
    [InlineData("/day", "What else was looked at")]
    [InlineData("/day/junk", "The address says day=junk")]
    [InlineData("/help", "Symbols and words")]
    [InlineData("/help", "Signing a day off")]
    public async Task A_page_is_rendered_for_its_address(string address, string text) =>
        Assert.Contains(text, await host.Page(address), StringComparison.Ordinal);

    [Theory]
    [InlineData("/api/v1/plots/today")]
    [InlineData("/api/v1/plots/completeness")]
    public async Task A_plot_has_points_and_a_sentence(string address)
    {
        var document = await host.Json(address);
        Assert.True(document.GetProperty("traces").EnumerateArray().Sum(trace => trace.GetProperty("x").GetArrayLength()) > 0);
        Assert.NotEmpty(document.GetProperty("summary").GetString()!);
        var axes = document.GetProperty("y").EnumerateArray().Select(axis => axis.GetProperty("id").GetString()).ToList();
        Assert.All(document.GetProperty("traces").EnumerateArray(), trace => Assert.Contains(trace.GetProperty("axis").GetString(), axes));
    }
}
