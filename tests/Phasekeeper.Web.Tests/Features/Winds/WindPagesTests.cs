using System.Globalization;
using System.Text.Json;
using Bunit;
using Phasekeeper.Core.Winds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.WindBudget;
using Phasekeeper.Web.Features.WindCompare;
using Phasekeeper.Web.Features.WindCorrections;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Winds;

[Collection(MissionHostGroup.Name)]
public sealed class WindPagesTests(MissionHost host) : MissionPageTests(host)
{
    private int Orbit => Host.Stores.WindBins.Before(Host.Stores.WindBins.Newest()!.Value) ?? Host.Stores.WindBins.Newest()!.Value;

    private string Date => Host.Engine.Mission!.Orbits.Of(Orbit)!.Value.Start.UtcDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private IReadOnlyList<WindVector> Vectors => [.. Host.Stores.WindVectors.OfOrbit(Orbit).SelectMany(v => v.Vectors)];

    [Fact]
    public async Task A_days_panels_hold_every_orbit_line_and_component_on_one_scale_about_zero()
    {
        var plot = await Host.PlotAsync($"winds/day?date={Date}");
        var panels = plot.GetProperty("panels");
        Assert.Equal(4, panels.GetProperty("columns").GetArrayLength());
        Assert.Contains(panels.GetProperty("rows").EnumerateArray(), r => r.GetProperty("label").GetString() == Orbit.ToString(CultureInfo.InvariantCulture) && r.GetProperty("href").GetString()!.Contains($"orbit={Orbit}", StringComparison.Ordinal));
        var scales = plot.GetProperty("traces").EnumerateArray().Select(t => t.GetProperty("scale").GetRawText()).Distinct().ToArray();
        var scale = JsonDocument.Parse(Assert.Single(scales)).RootElement;
        Assert.Equal(-scale.GetProperty("max").GetDouble(), scale.GetProperty("min").GetDouble());
        Assert.True(scale.GetProperty("diverging").GetBoolean());
        Assert.Contains("% good", plot.GetProperty("summary").GetString(), StringComparison.Ordinal);
        Assert.All(plot.GetProperty("traces").EnumerateArray(), t => Assert.All(t.GetProperty("quality").EnumerateArray(), q => Assert.Equal(t.GetProperty("x").GetArrayLength(), q.GetString()!.Length)));
    }

    [Fact]
    public async Task Values_in_the_panels_are_those_that_are_stored()
    {
        var line = Host.Engine.Mission!.Instrument!.Lines[0].Id;
        var plot = await Host.PlotAsync($"winds/orbit/{Orbit}");
        var drawn = plot.Trace($"orbit {Orbit}, {line}, eastward").GetProperty("z").EnumerateArray().SelectMany(r => r.EnumerateArray()).Where(v => v.ValueKind == JsonValueKind.Number).Select(v => v.GetDouble()).ToHashSet();
        Assert.Equal(Vectors.Where(v => v.Line == line).Select(v => Math.Round(v.EastwardMs)).ToHashSet(), drawn);
    }

    [Fact]
    public void The_page_shows_the_newest_day_and_a_click_chooses_orbit_minute_and_height()
    {
        var page = Render<WindsPage>();
        page.WaitForElement(".winds-facts");
        var view = page.FindComponents<PlotView>().First(v => v.Instance.Panels);
        page.InvokeAsync(() => view.Instance.Clicked($"{Orbit}|green", 20.25, 111.2));
        Assert.Contains($"orbit={Orbit}", Navigation.Uri, StringComparison.Ordinal);
        Assert.Contains("minute=20.25", Navigation.Uri, StringComparison.Ordinal);
        Assert.Contains("altitude=111", Navigation.Uri, StringComparison.Ordinal);
    }

    [Fact]
    public void A_chosen_place_leads_to_the_fringes_of_both_looks()
    {
        var v = Vectors[Vectors.Count / 2];
        var minute = (v.Time - Host.Engine.Mission!.Orbits.Of(Orbit)!.Value.Start) / 60;
        Navigation.NavigateTo(string.Create(CultureInfo.InvariantCulture, $"/winds?orbit={Orbit}&minute={minute:0.00}&line={v.Line}&altitude={v.AltitudeKm:0}"));
        var page = Render<WindsPage>();
        page.WaitForElement(".chosen-looks");
        var links = page.FindAll(".chosen-looks a").Select(a => a.GetAttribute("href")!).ToArray();
        Assert.Equal(2, links.Length);
        Assert.Contains($"exposure={v.FirstExposure}&", links[0], StringComparison.Ordinal);
        Assert.Contains($"exposure={v.SecondExposure}&", links[1], StringComparison.Ordinal);
        foreach (var (link, exposure) in links.Zip([v.FirstExposure, v.SecondExposure]))
        {
            var orbit = int.Parse(link.Split('/', '?')[2], CultureInfo.InvariantCulture);
            Assert.Contains(Host.Stores.Fringes.OfOrbit(orbit), f => f.Result.Exposure == exposure);
        }
    }

    [Fact]
    public void A_day_without_winds_says_so_and_names_the_newest()
    {
        Navigation.NavigateTo("/winds?date=2001-01-01");
        Assert.Contains($"the newest day with winds is", Render<WindsPage>().WaitForElement(".state-panel").TextContent, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_map_has_land_a_terminator_and_the_winds_of_one_height()
    {
        var v = Vectors.First(x => x.Quality != WindQuality.Bad);
        var plot = await Host.PlotAsync(string.Create(CultureInfo.InvariantCulture, $"winds/map?date={Date}&orbit={Orbit}&line={v.Line}&altitude={v.AltitudeKm:0}"));
        Assert.True(plot.GetProperty("map").GetBoolean());
        Assert.NotEmpty(plot.Trace("terminator").Numbers("y"));
        Assert.Contains(plot.GetProperty("traces").EnumerateArray(), t => t.GetProperty("key").GetString() == "map" && t.Numbers("c").Length > 0);
    }

    // The Sun stands on the horizon wherever the terminator runs.
    [Fact]
    public async Task The_terminator_is_where_the_Sun_stands_on_the_horizon()
    {
        var line = Host.Engine.Mission!.Instrument!.Lines[0].Id;
        var slot = Host.Engine.Mission.Orbits.Of(Orbit)!.Value;
        var plot = await Host.PlotAsync($"winds/map?date={Date}&orbit={Orbit}&line={line}&altitude=100");
        var terminator = plot.Trace("terminator");
        // Geocentric latitude, and an ellipsoid below: 0.2° of flattening.
        Assert.All(terminator.Numbers("x").Zip(terminator.Numbers("y")), p =>
            Assert.Equal(0, OrbitWinds.SolarElevationRad(p.Second * (Math.PI / 180), p.First * (Math.PI / 180), slot.Start.AddSeconds((slot.End - slot.Start) / 2)), 1e-6));
    }

    [Theory]
    [InlineData("altitude")]
    [InlineData("along")]
    public async Task The_budgets_parts_add_up_to_the_reported_variance(string plot)
    {
        var instrument = Host.Engine.Mission!.Instrument!;
        var (view, line) = (instrument.Views[0].Id, instrument.Lines[0].Id);
        var document = await Host.PlotAsync($"winds/budget/{Orbit}/{plot}?view={view}&line={line}&altitude=110");
        var bars = document.GetProperty("traces").EnumerateArray().Where(t => t.GetProperty("kind").GetString() == "bars").ToArray();
        Assert.Equal(BudgetTerm.All.Count, bars.Length);
        Assert.True(document.GetProperty("stacked").GetBoolean());
        var sums = Enumerable.Range(0, bars[0].GetProperty("x").GetArrayLength()).Select(i => bars.Sum(b => b.GetProperty("y")[i].GetDouble())).ToArray();
        Assert.NotEmpty(sums);
        if (plot == "altitude")
            Assert.All(sums.Zip(document.Trace("total 1σ").Numbers("y")), p => Assert.Equal(p.Second * p.Second, p.First, 1e-3 * p.First));
        else
        {
            var stored = Host.Stores.Winds.OfOrbit(Orbit, view, line).Select(w => w.Profile.Rows.Where(r => r.Quality != WindQuality.Bad && double.IsFinite(r.SigmaMs)).MinBy(r => Math.Abs(r.AltitudeKm - 110)))
                .OfType<LosWind>().Where(r => Math.Abs(r.AltitudeKm - 110) <= 10).ToArray();
            Assert.Equal(stored.Select(r => Math.Round(r.SigmaMs * r.SigmaMs, 2)), sums.Select(s => Math.Round(s, 2)));
        }
    }

    [Fact]
    public async Task A_comparison_of_bins_is_drawn_with_its_difference_and_three_scales_of_variability()
    {
        var plot = await Host.PlotAsync($"winds/compare/maps?date={Date}&base=1d&doubtful=yes&altitude=105");
        Assert.Equal(6, plot.GetProperty("traces").GetArrayLength());
        var here = plot.GetProperty("traces")[0].GetProperty("z").EnumerateArray().SelectMany(r => r.EnumerateArray()).Count(v => v.ValueKind == JsonValueKind.Number);
        Assert.True(here > 3, $"{here} bins");
    }

    [Fact]
    public async Task Each_correction_is_drawn_with_and_without()
    {
        var plot = await Host.PlotAsync($"winds/corrections/{Orbit}/panels?off=rotation");
        Assert.Equal(12, plot.GetProperty("traces").GetArrayLength());
        Assert.Contains("rms change eastward", plot.GetProperty("summary").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Budget_comparison_and_corrections_have_pages_with_their_choices()
    {
        var budget = Render<BudgetPage>();
        budget.WaitForAssertion(() => Assert.Contains("constant yaw error", budget.Markup, StringComparison.Ordinal));
        var compare = Render<ComparePage>();
        compare.WaitForAssertion(() => Assert.Equal(CompareBase.All.Count, compare.FindAll(".compare-base a").Count));
        var corrections = Render<CorrectionsPage>();
        corrections.WaitForAssertion(() => Assert.All(CorrectionWords.All, c => Assert.Contains(c.Title, corrections.Markup, StringComparison.Ordinal)));
    }

    [Fact]
    public async Task The_day_is_served_as_a_netcdf_file_that_is_the_same_every_time()
    {
        using var client = Host.CreateClient();
        using var first = await client.GetAsync(new Uri($"/api/v1/winds/{Date}.nc", UriKind.Relative));
        Assert.Equal("application/x-netcdf", first.Content.Headers.ContentType!.MediaType);
        var bytes = await first.Content.ReadAsByteArrayAsync();
        Assert.Equal("CDF\u0002"u8.ToArray(), bytes[..4]);
        Assert.Equal(bytes, await client.GetByteArrayAsync(new Uri($"/api/v1/winds/{Date}.nc", UriKind.Relative)));
        using var none = await client.GetAsync(new Uri("/api/v1/winds/2001-01-01.nc", UriKind.Relative));
        Assert.Equal(System.Net.HttpStatusCode.NotFound, none.StatusCode);
        using var bad = await client.GetAsync(new Uri("/api/v1/winds/yesterday.nc", UriKind.Relative));
        Assert.Equal(System.Net.HttpStatusCode.BadRequest, bad.StatusCode);
    }

    [Fact]
    public async Task Pages_are_rendered_on_the_server_with_their_content()
    {
        using var client = Host.CreateClient();
        foreach (var (path, text) in new[] { ("/winds", "Wind vectors"), ("/winds/compare", "season (90 days)"), ("/winds/budget", "By altitude"), ("/winds/corrections", "lamp and thermal") })
        {
            var page = await client.GetStringAsync(new Uri(path, UriKind.Relative));
            Assert.DoesNotContain("state-panel-failed", page, StringComparison.Ordinal);
            Assert.Contains(text, page, StringComparison.Ordinal);
        }
    }
}
