using Bunit;
using Bunit.TestDoubles;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Tests.Shared.Plots;

public sealed class PlotViewTests : BunitContext
{
    private readonly BunitJSModuleInterop module;
    private readonly BunitAuthorizationContext authorization;

    public PlotViewTests()
    {
        authorization = this.AddAuthorization();
        module = JSInterop.SetupModule(PlotScripts.Module);
        module.SetupVoid("show", _ => true).SetVoidResult();
        module.SetupVoid("dispose", _ => true).SetVoidResult();
    }

    [Fact]
    public void Without_an_address_it_says_that_there_is_nothing_and_offers_no_tools()
    {
        var plot = Render<PlotView>(p => p.Add(v => v.Title, "Thermal residual").Add(v => v.EmptyText, "No lamp exposure on this orbit."));
        Assert.Equal("empty", plot.Find("figure").GetAttribute("data-state"));
        Assert.Equal("No lamp exposure on this orbit.", plot.Find("[role=status]").TextContent);
        Assert.Empty(plot.FindAll("button"));
        Assert.Empty(module.Invocations);
    }

    [Fact]
    public void With_an_address_it_loads_in_a_frame_of_fixed_height_with_tools_and_a_table()
    {
        var plot = Render<PlotView>(p => p.Add(v => v.Title, "Thermal residual").Add(v => v.Url, "/api/v1/x").Add(v => v.Height, 320));
        Assert.Equal("loading", plot.Find("figure").GetAttribute("data-state"));
        Assert.Equal("height:320px", plot.Find(".plot-frame").GetAttribute("style"));
        Assert.Equal(["Whole range", "PNG", "CSV"], plot.FindAll("button").Select(button => button.TextContent));
        Assert.Contains("Thermal residual", plot.Find("[role=img]").GetAttribute("aria-label"), StringComparison.Ordinal);
        Assert.False(plot.Find("details").HasAttribute("hidden"));
        var options = Assert.IsType<PlotViewOptions>(Assert.Single(module.Invocations["show"]).Arguments[1]);
        Assert.Equal("/api/v1/x", options.Url);
    }

    [Fact]
    public void It_asks_again_only_when_something_has_changed()
    {
        var plot = Render<PlotView>(p => p.Add(v => v.Title, "T").Add(v => v.Url, "/api/v1/x"));
        plot.Render(p => p.Add(v => v.Url, "/api/v1/x"));
        Assert.Single(module.Invocations["show"]);
        plot.Render(p => p.Add(v => v.Revision, 1));
        Assert.Equal(2, module.Invocations["show"].Count);
    }

    [Fact]
    public async Task A_zoom_in_the_browser_reaches_the_page_as_times()
    {
        PlotZoom? zoom = null;
        var plot = Render<PlotView>(p => p.Add(v => v.Title, "T").Add(v => v.Url, "/api/v1/x").Add(v => v.OnZoom, z => zoom = z));
        await plot.InvokeAsync(() => plot.Instance.Zoomed("2031-03-01T00:00:00.000Z", "2031-03-01T06:00:00.000Z"));
        Assert.Equal("2031-03-01T06:00:00Z", zoom!.Value.To!.Value.ToString());
        await plot.InvokeAsync(() => plot.Instance.Zoomed(null, null));
        Assert.Equal(new PlotZoom(null, null), zoom);
    }

    [Fact]
    public void Who_may_write_gets_a_form_for_a_note_and_who_reads_does_not()
    {
        authorization.SetAuthorized("vic").SetPolicies(Roles.Viewer);
        Assert.Empty(Render<PlotView>(p => p.Add(v => v.Title, "T").Add(v => v.Url, "/api/v1/x")).FindAll("form"));
        authorization.SetAuthorized("kim").SetPolicies(Roles.Viewer, Roles.Operator);
        var form = Render<PlotView>(p => p.Add(v => v.Title, "T").Add(v => v.Url, "/api/v1/x")).Find("form[data-plot=note-form]");
        Assert.Equal(["from", "to", "text"], form.QuerySelectorAll("label > input").Select(i => i.GetAttribute("name")));
    }

    [Fact]
    public void Who_may_write_gets_a_form_that_finds_a_flag_where_the_page_offers_it()
    {
        authorization.SetAuthorized("vic").SetPolicies(Roles.Viewer);
        var span = new TimeStretch(Instant.FromUtc(2031, 3, 1), Instant.FromUtc(2031, 3, 2));
        IRenderedComponent<PlotView> Plot(bool toFlags) => Render<PlotView>(p => p.Add(v => v.Title, "Thermal residual").Add(v => v.Url, "/api/v1/x").Add(v => v.ToFlags, toFlags).Add(v => v.Span, span));
        Assert.Empty(Plot(true).FindAll("[data-plot^=flag]"));
        authorization.SetAuthorized("kim").SetPolicies(Roles.Viewer, Roles.Operator);
        Assert.Empty(Plot(false).FindAll("[data-plot^=flag]"));

        var plot = Plot(true);
        var (button, form) = (plot.Find("button[data-plot=flag]"), plot.Find("form[data-plot=flag-form]"));
        Assert.Equal(("Attach to a flag…", "false", form.Id), (button.TextContent, button.GetAttribute("aria-expanded"), button.GetAttribute("aria-controls")));
        Assert.True(form.HasAttribute("hidden"));
        Assert.Contains("no-print", form.ClassList);
        Assert.Equal("Attach the plot Thermal residual to a flag", form.GetAttribute("aria-label"));
        Assert.Equal(["find", "note"], form.QuerySelectorAll("label > input").Select(i => i.GetAttribute("name")));
        Assert.Equal(("12", "1930089600000", "1930176000000"), (form.GetAttribute("data-most"), form.GetAttribute("data-from"), form.GetAttribute("data-to")));
        Assert.Equal(["Attach as seen", "Cancel"], form.QuerySelectorAll("button").Select(b => b.TextContent));
        // The script looks for these; a refusal is told at once.
        Assert.All(["flag-legend", "flag-list", "flag-found", "flag-send", "flag-refused"], name => Assert.NotNull(form.QuerySelector($"[data-plot={name}]")));
        Assert.Equal("alert", form.QuerySelector("[data-plot=flag-refused]")!.GetAttribute("role"));
        Assert.Equal("status", plot.Find("[data-plot=flag-told]").GetAttribute("role"));
    }
}
