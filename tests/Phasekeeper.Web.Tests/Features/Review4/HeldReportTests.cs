using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Reports;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Review4;

[Collection(MissionHostGroup.Name)]
public sealed class HeldReportTests(MissionHost host)
{
    private static readonly Actor Kim = new("kim", Roles.Operator, null);

    [Fact]
    public async Task Held_orbits_are_left_out_of_the_reports_error_budget()
    {
        var mission = host.Engine.Mission!;
        var queries = new ReportQueries(host.Stores);
        var span = ReportSpan.At(ReportSpan.Day, host.Stores.Orbits.Get(host.Orbit)!.Start);
        var before = queries.Read(mission, span).Budgets.Sum(b => b.Winds);
        Assert.True(before > 0);
        var desk = host.Services.GetRequiredService<SignOffDesk>();
        await desk.HoldAsync(host.Orbit, true, "bad", Kim);
        try
        {
            var after = queries.Read(mission, span).Budgets.Sum(b => b.Winds);
            Assert.True(after < before, $"{before} winds before, {after} with orbit {host.Orbit} held");
        }
        finally
        {
            await desk.HoldAsync(host.Orbit, false, "good", Kim);
        }
    }

    [Fact]
    public async Task The_list_of_days_says_which_signed_day_has_changed()
    {
        var mission = host.Engine.Mission!;
        var desk = host.Services.GetRequiredService<SignOffDesk>();
        var days = desk.Newest(mission, 10);
        var over = days.First(d => d.IsOver).Date;
        var other = days.First(d => d.Date != over).Date;
        var sheet = desk.Read(mission, over)!;
        await desk.SignAsync(mission, over, new(sheet.Proposal.Verdict, "seen", sheet.Key), Kim);
        var orbit = sheet.Orbits[0].Orbit;
        await desk.HoldAsync(orbit, true, "bad", Kim);
        try
        {
            Assert.Equal("changed", desk.Read(mission, over)!.State);
            var page = await host.Page($"/day/{other:yyyy-MM-dd}");
            var start = page.IndexOf("day-list", StringComparison.Ordinal);
            Assert.Contains("changed", page[start..page.IndexOf("</ul>", start, StringComparison.Ordinal)], StringComparison.Ordinal);
        }
        finally
        {
            await desk.HoldAsync(orbit, false, "good", Kim);
        }
    }

    [Theory]
    [InlineData("winds/budget/{0}/altitude")]
    [InlineData("winds/budget/{0}/along?altitude=110")]
    [InlineData("winds/corrections/{0}/panels?off=rotation")]
    [InlineData("winds/corrections/{0}/sizes")]
    [InlineData("winds/orbit/{0}")]
    [InlineData("winds/profile/{0}?minute=20")]
    public async Task A_plot_of_held_winds_says_so(string plot)
    {
        var desk = host.Services.GetRequiredService<SignOffDesk>();
        await desk.HoldAsync(host.Orbit, true, "bad", Kim);
        try
        {
            var text = (await host.PlotAsync(string.Format(System.Globalization.CultureInfo.InvariantCulture, plot, host.Orbit))).GetRawText();
            Assert.Contains("held", text, StringComparison.OrdinalIgnoreCase);
        }
        finally
        {
            await desk.HoldAsync(host.Orbit, false, "good", Kim);
        }
    }

    [Theory]
    [InlineData("/winds/orbit?orbit={0}")]
    [InlineData("/winds?orbit={0}")]
    [InlineData("/winds/budget?orbit={0}")]
    [InlineData("/winds/corrections?orbit={0}")]
    [InlineData("/winds/compare")]
    [InlineData("/vouch")]
    [InlineData("/vouch?tab=zero")]
    [InlineData("/orbit/{0}")]
    [InlineData("/")]
    public async Task A_page_of_held_winds_says_so(string address)
    {
        var desk = host.Services.GetRequiredService<SignOffDesk>();
        await desk.HoldAsync(host.Orbit, true, "bad", Kim);
        try
        {
            Assert.Contains($"Held by people, not to be used", await host.Page(string.Format(System.Globalization.CultureInfo.InvariantCulture, address, host.Orbit)), StringComparison.OrdinalIgnoreCase);
        }
        finally
        {
            await desk.HoldAsync(host.Orbit, false, "good", Kim);
        }
    }

    [Fact]
    public async Task Held_orbits_are_no_part_of_the_days_own_share_of_good_winds()
    {
        var mission = host.Engine.Mission!;
        var desk = host.Services.GetRequiredService<SignOffDesk>();
        var day = host.Stores.Orbits.Get(host.Orbit)!.Start.UtcDate;
        var before = desk.Read(mission, day)!.Facts.Winds.Sum(w => w.Values);
        Assert.True(before > 0);
        await desk.HoldAsync(host.Orbit, true, "bad", Kim);
        try
        {
            var after = desk.Read(mission, day)!.Facts.Winds.Sum(w => w.Values);
            Assert.True(after < before, $"{before} winds judged before, {after} with orbit {host.Orbit} held");
        }
        finally
        {
            await desk.HoldAsync(host.Orbit, false, "good", Kim);
        }
    }

    [Fact]
    public async Task The_ground_of_a_report_is_another_one_without_its_winds()
    {
        var row = host.Stores.Orbits.Get(host.Orbit)!;
        var span = ReportSpan.At(ReportSpan.Day, row.Start);
        var before = ReportGround.Of(host.Stores, span).Hash;
        var winds = host.Stores.Winds.OfOrbit(host.Orbit);
        Assert.NotEmpty(winds);
        await host.Stores.Database.WriteAsync(t => WindStore.ReplaceOrbit(t, host.Orbit, []));
        var after = ReportGround.Of(host.Stores, span).Hash;
        await host.Stores.Database.WriteAsync(t => WindStore.ReplaceOrbit(t, host.Orbit, winds));
        Assert.NotEqual(before, after);
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/flags")]
    [InlineData("/day")]
    [InlineData("/drift")]
    [InlineData("/winds")]
    [InlineData("/winds/budget")]
    [InlineData("/vouch?tab=zero")]
    [InlineData("/orbit")]
    [InlineData("/data")]
    [InlineData("/coefficients")]
    [InlineData("/channels")]
    [InlineData("/notices")]
    [InlineData("/account/notices")]
    [InlineData("/people")]
    [InlineData("/record")]
    public async Task A_page_leads_to_help_and_to_words_of_its_own(string address)
    {
        // Pages of administrators answer others with 403.
        using var browser = host.CreateClient();
        browser.DefaultRequestHeaders.Add("Cookie", $"{Web.Api.Access.DemoAccess.RoleCookie}={Roles.Administrator}");
        var page = await browser.GetStringAsync(new Uri(address, UriKind.Relative));
        Assert.Contains("/help#words", page, StringComparison.Ordinal);
        Assert.Matches("/help#(?!words|keys|roles|team)[a-z]", page);
    }
}
