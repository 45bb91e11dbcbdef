using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients.Fits;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients.Fits;

/// <summary>On a mission of its own, since a decision changes it: what is proposed has been seen.</summary>
public sealed class FitMovedTests : MissionPageTests, IClassFixture<MissionHost>
{
    public FitMovedTests(MissionHost host)
        : base(host)
    {
        Share<FitDesk>();
        Share<EvidenceBoard>();
        Share<CoefficientDesk>();
        SetRendererInfo(new("Server", true));
    }

    [Fact]
    public async Task A_fit_whose_ground_has_moved_is_not_proposed_the_new_numbers_are_shown_and_these_can_be()
    {
        var desk = Host.Services.GetRequiredService<CoefficientDesk>();
        var orbits = Host.Stores.Orbits.Newest(10).Where(o => o is { Provisional: false, ReceivedExposures: > 40 }).Select(o => o.Orbit).Order().ToArray();
        Navigation.NavigateTo($"/coefficients/fit?first={orbits[0]}&last={orbits[^1]}&holdout=0&parts=lamp-reference");
        var page = Render<FitPage>();
        page.WaitForElement(".fit-parts");
        await Click(page, "Try the fit");
        page.WaitForAssertion(() => Assert.NotEmpty(page.FindAll("#numbers-title")), TimeSpan.FromMinutes(2));
        Assert.Contains("compared with 1 '", page.Markup, StringComparison.Ordinal);

        // Another set comes into force where the fit began.
        var other = await desk.ProposeAsync(ProposalReader.Read($$"""{"base":1,"name":"came between","validFrom":"2031-01-01T00:00:00Z","reason":"a test","changes":[{"number":"optics.lampPhaseRad","view":"F","line":"green","value":0.5}]}""", null,
            Host.Services.GetRequiredService<MissionFolder>(), Host.Stores.Coefficients), new("ada", Roles.Analyst, null));
        var from = Host.Engine.Mission!.Orbits.FirstNode(Host.Engine.Mission.Orbits.Of(orbits[0])!.Value.Start)!.Value.Number;
        await desk.ApproveAsync(other, new() { Reason = "a test", FromOrbit = from, InPlaceOf = 1 }, new("lea", Roles.CalibrationLead, null));
        await page.InvokeAsync(() => page.Find("textarea").Change("the lamp has aged"));
        await Click(page, "Propose");
        page.WaitForAssertion(() => Assert.Contains("Nothing was proposed", page.Find(".fit-propose ~ .fit-refusal").TextContent, StringComparison.Ordinal), TimeSpan.FromMinutes(2));
        Assert.Contains($"set {other} came into force in place of set 1", page.Find(".fit-propose ~ .fit-refusal").TextContent, StringComparison.Ordinal);
        Assert.Contains($"compared with {other} '", page.Markup, StringComparison.Ordinal);
        Assert.Equal(2, Host.Stores.Coefficients.Names().Count);

        await Click(page, "Propose");
        page.WaitForAssertion(() => Assert.Contains("/coefficients/proposals/", Navigation.Uri, StringComparison.Ordinal), TimeSpan.FromMinutes(1));
        var id = Host.Stores.Coefficients.Names()[^1].Id;
        Assert.Equal(other, FitDocument.Read(Host.Stores.Coefficients.Fit(id)!).From);
    }

    private static Task Click(IRenderedComponent<FitPage> page, string words) => page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent == words).Click());
}
