using Bunit;
using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients.Fits;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Coefficients.Fits;

[Collection(MissionHostGroup.Name)]
public sealed class FitPageTests : MissionPageTests
{
    public FitPageTests(MissionHost host)
        : base(host)
    {
        Share<FitDesk>();
        Share<EvidenceBoard>();
        Share<CoefficientDesk>();
        SetRendererInfo(new("Server", true));
    }

    [Fact]
    public async Task A_fit_is_tried_and_its_choice_stands_in_the_address()
    {
        var sets = Host.Stores.Coefficients.Names().Count;
        var orbits = Host.Stores.Orbits.Newest(10).Where(o => o.ReceivedExposures > 40).Select(o => o.Orbit).Order().ToArray();
        Navigation.NavigateTo($"/coefficients/fit?first={orbits[0]}&last={orbits[^1]}&holdout=0&parts=lamp-reference,image-shift");
        var page = Render<FitPage>();
        page.WaitForElement(".fit-parts");
        Assert.Equal(2, page.FindAll(".fit-part input").Count(i => i.HasAttribute("checked")));
        Assert.Contains("nothing will tell how the fit does", page.Find(".fit-count").TextContent, StringComparison.Ordinal);
        await Click(page, "Try the fit");
        page.WaitForAssertion(() => Assert.True(page.FindAll("#numbers-title").Count > 0 || page.FindAll(".fit-refusal").Count > 0), TimeSpan.FromMinutes(2));
        Assert.Empty(page.FindAll(".fit-refusal"));
        Assert.Contains("lamp reference phase", page.Markup, StringComparison.Ordinal);
        Assert.Contains("image shift: offset", page.Markup, StringComparison.Ordinal);
        Assert.Contains("parts=lamp-reference%2Cimage-shift", Navigation.Uri, StringComparison.Ordinal);
        // What is proposed is what was tried.
        Assert.False(Button(page, "Propose").HasAttribute("disabled"));
        await page.InvokeAsync(() => page.FindAll(".fit-window input")[2].Change("3"));
        Assert.True(Button(page, "Propose").HasAttribute("disabled"));
        await page.InvokeAsync(() => page.FindAll(".fit-window input")[2].Change("0"));
        await page.InvokeAsync(() => page.Find(".fit-propose input").Change(""));
        await Click(page, "Propose");
        page.WaitForAssertion(() => Assert.Contains("Found no name", page.Find(".fit-refusal").TextContent, StringComparison.Ordinal));
        Assert.Equal(sets, Host.Stores.Coefficients.Names().Count);
    }

    [Fact]
    public async Task What_cannot_be_fitted_is_said_before_anything_is_computed()
    {
        var page = Render<FitPage>();
        page.WaitForElement(".fit-parts");
        foreach (var _ in Enum.GetValues<FitPart>())
            if (page.FindAll(".fit-part input").FirstOrDefault(i => i.HasAttribute("checked")) is { } on) await page.InvokeAsync(() => on.Change(false));
        await Click(page, "Try the fit");
        Assert.Contains("Nothing is chosen to be fitted", page.Find(".fit-refusal").TextContent, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null, null, null)]
    [InlineData("4580", "4600", null)]
    [InlineData("4600", "4580", "The address says last=4580; expected an orbit at or after first=4600")]
    [InlineData("x", null, "The address says first=x")]
    public void The_address_or_the_newest_orbits_make_the_window(string? first, string? last, string? note)
    {
        var address = new AddressReader();
        var choice = FitChoice.Read(address, first, last, null, null, Host.Stores)!;
        var newest = Host.Stores.Orbits.Newest(60).Where(o => o is { Provisional: false, ReceivedExposures: > 0 }).Select(o => o.Orbit).ToArray();
        Assert.Equal(first == "4580" ? (4580, 4600) : (newest.Min(), newest.Max()), (choice.First, choice.Last));
        if (note is null) Assert.Empty(address.Notes);
        else Assert.StartsWith(note, Assert.Single(address.Notes), StringComparison.Ordinal);
    }

    [Fact]
    public void Parts_have_a_word_each_and_a_sentence()
    {
        Assert.Equal(["thermal-slope", "thermal-lag", "lamp-reference", "image-shift", "dark", "zero-wind", "visibility", "bad-samples"], Enum.GetValues<FitPart>().Select(FitChoice.Word));
        Assert.All(Enum.GetValues<FitPart>(), p => Assert.EndsWith(".", Web.Features.Coefficients.CoefficientWords.Part(p).What, StringComparison.Ordinal));
    }

    private static AngleSharp.Dom.IElement Button(IRenderedComponent<FitPage> page, string words) => page.FindAll("button").First(b => b.TextContent == words);

    private static Task Click(IRenderedComponent<FitPage> page, string words) => page.InvokeAsync(() => Button(page, words).Click());
}
