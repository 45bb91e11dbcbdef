using Bunit;
using Phasekeeper.Web.Features.Orbit;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Orbit;

[Collection(MissionHostGroup.Name)]
public sealed class OrbitPageTests(MissionHost host) : MissionPageTests(host)
{
    [Fact]
    public void The_page_shows_verdict_plots_exposures_and_the_image_of_one_of_them()
    {
        var page = Render<OrbitPage>(p => p.Add(o => o.Number, Host.Orbit));
        page.WaitForElement(".orbit-verdict");
        Assert.Equal($"Orbit {Host.Orbit}", page.Find("h1").TextContent);
        Assert.Contains(Host.Stores.Orbits.Get(Host.Orbit)!.Verdict, page.Find(".page-head").TextContent, StringComparison.Ordinal);
        Assert.Equal(7, page.FindComponents<PlotView>().Count);
        Assert.Equal(Host.Stores.Fringes.OfOrbit(Host.Orbit).Select(f => (f.Result.Time, f.Result.Kind, f.Result.Exposure)).Distinct().Count(), page.FindAll(".exposure-table tbody tr").Count);
    }

    [Fact]
    public async Task A_click_on_the_image_opens_that_row_in_the_address()
    {
        var page = Render<OrbitPage>(p => p.Add(o => o.Number, Host.Orbit));
        page.WaitForElement(".orbit-fringe");
        var image = page.FindComponents<PlotView>().Single(v => v.Instance.Title == "Fringe image");
        await page.InvokeAsync(() => image.Instance.Clicked("counts", 12, 5));
        Assert.Contains("row=5", Navigation.Uri, StringComparison.Ordinal);
    }

    [Fact]
    public void An_orbit_without_data_says_so()
    {
        var page = Render<OrbitPage>(p => p.Add(o => o.Number, 999_999));
        page.WaitForAssertion(() => Assert.Contains("Nothing has arrived of orbit 999999", page.Markup, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("phase")]
    [InlineData("temperatures")]
    [InlineData("shift")]
    [InlineData("visibility")]
    [InlineData("spikes")]
    public async Task Every_plot_of_the_orbit_has_points_and_words(string plot)
    {
        var document = await Host.PlotAsync($"orbit/{Host.Orbit}/{plot}");
        Assert.Contains(document.GetProperty("traces").EnumerateArray(), t => t.Numbers("x").Length > 5);
        Assert.NotEqual("", document.GetProperty("summary").GetString());
        if (plot is "phase" or "temperatures" or "shift") Assert.Contains(document.GetProperty("bands").EnumerateArray(), b => b.GetProperty("kind").GetString() == "shadow");
    }

    [Fact]
    public async Task The_residual_is_the_trackers()
    {
        var (view, line) = (Host.Engine.Mission!.Instrument!.Views[0].Id, Host.Engine.Mission.Instrument.Lines[0].Id);
        var stored = Host.Stores.Trackers.OfOrbit(Host.Orbit).Single(t => t.Key.Tracker == "thermal-residual-wind" && t.Key.View == view && t.Key.Line == line);
        var plot = await Host.PlotAsync($"orbit/{Host.Orbit}/phase?view={view}&line={line}");
        var residuals = plot.Trace($"{view} {line} residual as wind").Numbers("y");
        Assert.Equal(stored.N, residuals.Length);
        Assert.Equal(stored.Value, Math.Sqrt(residuals.Sum(r => r * r) / (residuals.Length - 1)), 6);
    }

    [Fact]
    public async Task The_image_has_all_rows_and_samples_and_a_row_its_fit()
    {
        var instrument = Host.Engine.Mission!.Instrument!;
        var fringe = Host.Stores.Fringes.OfOrbit(Host.Orbit).First(f => f.Result.Kind == Core.Fringes.ExposureKind.Lamp).Result;
        var query = $"exposure={fringe.Exposure}&kind=lamp&view={fringe.View}&line={fringe.Line}";
        var image = await Host.PlotAsync($"orbit/{Host.Orbit}/image?{query}");
        var z = image.Trace("counts").GetProperty("z");
        Assert.Equal(instrument.Rows, z.GetArrayLength());
        Assert.Equal(instrument.Samples, z[0].GetArrayLength());
        var row = await Host.PlotAsync($"orbit/{Host.Orbit}/row?{query}&row=2");
        Assert.Equal(instrument.Samples, row.Trace("fitted model").Numbers("y").Length);
        var residuals = row.Trace("residual").Numbers("y");
        // As many residuals of 1σ as there are samples: their rms is known to 5 %.
        Assert.InRange(Math.Sqrt(residuals.Average(r => r * r)), 0.8, 1.2);
    }

    [Fact]
    public async Task Pages_are_rendered_on_the_server_with_their_content()
    {
        using var client = Host.CreateClient();
        foreach (var (path, text) in new[] { ($"/orbit/{Host.Orbit}", $"Orbit {Host.Orbit}"), ("/orbit", "Exposures"), ("/drift", "What moves it"), ("/channels", "Latest") })
        {
            var page = await client.GetStringAsync(new Uri(path, UriKind.Relative));
            Assert.DoesNotContain("state-panel-failed", page, StringComparison.Ordinal);
            Assert.Contains(text, page, StringComparison.Ordinal);
        }
    }
}
