using Bunit;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Web.Features.Drift;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Drift;

[Collection(MissionHostGroup.Name)]
public sealed class DriftPageTests(MissionHost host) : MissionPageTests(host)
{
    [Fact]
    public void Every_tracker_with_values_can_be_chosen_and_the_first_is_shown_with_its_advice()
    {
        var page = Render<DriftPage>();
        page.WaitForElement("select");
        var withValues = Host.Stores.Trackers.Series().Select(s => s.Tracker).Distinct().Count();
        Assert.Equal(withValues, page.Find("select").Children.Length);
        var first = TrackerCatalog.All[0].Info;
        Assert.Contains(first.Definition, page.Markup, StringComparison.Ordinal);
        Assert.Contains("flight rules", page.Markup, StringComparison.Ordinal);
        Assert.Contains("s=" + first.Id, page.FindComponent<PlotView>().Instance.Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Another_tracker_goes_into_the_address_and_can_be_laid_over()
    {
        var page = Render<DriftPage>();
        page.WaitForElement("select");
        await page.InvokeAsync(() => page.Find("select").Change("beta-angle"));
        await page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent == "Add to plot").Click());
        Assert.Contains("s=beta-angle", Navigation.Uri, StringComparison.Ordinal);
        Assert.Contains("s=" + TrackerCatalog.All[0].Info.Id, Navigation.Uri, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Values_stand_at_their_orbits_in_the_trackers_unit()
    {
        var (view, line) = (Host.Engine.Mission!.Instrument!.Views[0].Id, Host.Engine.Mission.Instrument.Lines[0].Id);
        var plot = await Host.PlotAsync($"drift?s=thermal-slope~{view}~{line}&range=all");
        Assert.Equal("rad/K", plot.GetProperty("y")[0].GetProperty("unit").GetString());
        var trace = plot.GetProperty("traces")[0];
        Assert.Contains(Host.Orbit, trace.Numbers("orbit").Select(o => (int)o));
        Assert.Equal(Host.Stores.Trackers.Values(new SeriesKey("thermal-slope", view, line)).Count(v => double.IsFinite(v.Value)), trace.Numbers("y").Length);
    }

    [Fact]
    public async Task A_series_can_stand_against_another_one()
    {
        var channel = Host.Engine.Mission!.Profile.InterferometerTemperature;
        var plot = await Host.PlotAsync($"drift?s=channel-max~~~{channel}&x=channel-mean~~~{channel}&range=all");
        Assert.Equal("°C", plot.GetProperty("x").GetProperty("unit").GetString());
        Assert.True(plot.GetProperty("traces")[0].Numbers("x").Zip(plot.GetProperty("traces")[0].Numbers("y")).All(p => p.Second >= p.First));
    }

    [Fact]
    public void A_series_survives_its_address()
    {
        foreach (var key in new[] { new SeriesKey("thermal-slope", "F", "green"), new SeriesKey("channel-mean", null, null, "IFO_T1"), new SeriesKey("beta-angle", null, null) })
            Assert.Equal(key, SeriesText.Read(SeriesText.Write(key)));
        Assert.Null(SeriesText.Read("no-such-tracker"));
    }
}
