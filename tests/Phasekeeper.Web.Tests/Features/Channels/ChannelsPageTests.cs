using System.Net;
using Bunit;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Channels;

[Collection(MissionHostGroup.Name)]
public sealed class ChannelsPageTests(MissionHost host) : MissionPageTests(host)
{
    private string First => Host.Engine.Mission!.RoleChannels.First();

    [Fact]
    public void Channels_with_a_role_are_shown_first_and_every_channel_is_listed_with_its_newest_value()
    {
        var page = Render<ChannelsPage>();
        page.WaitForElement("table.data");
        Assert.Equal(Host.Stores.Telemetry.Channels().Count, page.FindAll("tbody tr").Count);
        foreach (var role in Host.Engine.Mission!.RoleChannels) Assert.Contains("c=" + role, page.FindComponent<PlotView>().Instance.Url, StringComparison.Ordinal);
        Assert.Matches(@"\d °C", page.Find($"label[for='ch-{First}']").Closest("tr")!.TextContent);
    }

    [Fact]
    public async Task A_click_adds_a_channel_to_the_address_and_to_the_plot()
    {
        Navigation.NavigateTo("/channels?c=" + First);
        var page = Render<ChannelsPage>();
        var other = Host.Stores.Telemetry.Channels().First(c => c.Name != First).Name;
        page.WaitForElement("#ch-" + other);
        await page.InvokeAsync(() => page.Find("#ch-" + other).Change(true));
        Assert.Contains($"c={First}&c={other}", Navigation.Uri, StringComparison.Ordinal);
        page.WaitForAssertion(() => Assert.Contains("c=" + other, page.FindComponent<PlotView>().Instance.Url, StringComparison.Ordinal));
    }

    [Fact]
    public void The_search_reads_names_units_and_words()
    {
        Navigation.NavigateTo("/channels?q=temperature%20detector");
        var page = Render<ChannelsPage>();
        page.WaitForElement("table.data");
        Assert.Contains(Host.Engine.Mission!.Profile.DetectorTemperature!, page.Find("tbody").TextContent, StringComparison.Ordinal);
        Assert.True(page.FindAll("tbody tr").Count < 6);
        Navigation.NavigateTo("/channels?q=no-such-thing");
        page = Render<ChannelsPage>();
        page.WaitForAssertion(() => Assert.Contains("No channel matches", page.Markup, StringComparison.Ordinal));
    }

    [Fact]
    public async Task The_plot_has_units_limits_shadow_and_orbit_numbers()
    {
        var plot = await Host.PlotAsync($"channels?c={First}&range=all&columns=300");
        Assert.Equal("°C", plot.GetProperty("y")[0].GetProperty("unit").GetString());
        var trace = plot.Trace(First);
        Assert.InRange(trace.Numbers("y").Length, 100, 700);
        Assert.All(trace.Numbers("y"), c => Assert.InRange(c, -60, 80));
        Assert.Contains(trace.Numbers("orbit"), o => (int)o == Host.Orbit);
        Assert.Contains(plot.GetProperty("lines").EnumerateArray(), l => l.GetProperty("kind").GetString() == "critical");
        Assert.Contains(plot.GetProperty("bands").EnumerateArray(), b => b.GetProperty("kind").GetString() == "shadow");
    }

    [Fact]
    public async Task An_enumerated_channel_has_its_labels_on_the_axis()
    {
        var channel = Host.Engine.Mission!.Plan.Channels.First(c => c.Parameter.Labels is not null);
        var plot = await Host.PlotAsync($"channels?c={channel.Name}&range=all");
        Assert.Equal(channel.Parameter.Labels!.Labels, plot.GetProperty("y")[0].GetProperty("ticks").EnumerateArray().Select(t => t.GetProperty("label").GetString()!));
        Assert.Equal("steps", plot.GetProperty("traces")[0].GetProperty("kind").GetString());
    }

    [Fact]
    public async Task An_unknown_channel_is_named_in_the_answer()
    {
        using var client = Host.CreateClient();
        using var answer = await client.GetAsync(new Uri("/api/v1/plots/channels?c=NO_SUCH", UriKind.Relative));
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
        Assert.Contains("NO_SUCH", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }
}
