using Bunit;
using Microsoft.AspNetCore.Components.Forms;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Vouch;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Vouch;

[Collection(MissionHostGroup.Name)]
public sealed class VouchPageTests : MissionPageTests
{
    private readonly IntakeService intake;

    public VouchPageTests(MissionHost host)
        : base(host)
    {
        intake = Share<IntakeService>();
        SetRendererInfo(new("Server", true));
    }

    [Fact]
    public async Task A_file_is_brought_on_the_page_chosen_from_and_forgotten_after_a_second_click()
    {
        var page = Render<VouchPage>();
        page.WaitForElement("input[type=file]");
        page.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText("time,latitudeDeg\n", "mine.csv"));
        page.WaitForAssertion(() => Assert.Contains("no column longitudeDeg", page.Find(".sets-said").TextContent, StringComparison.Ordinal));

        page.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromBinary(TrueWinds.File(0), "truth.csv"));
        page.WaitForAssertion(() => Assert.Contains("winds taken in", page.Find(".sets-said").TextContent, StringComparison.Ordinal));
        while (!intake.Figures().Idle) await Task.Delay(50);
        page.WaitForAssertion(() => Assert.Contains("eastward wind", page.Markup, StringComparison.Ordinal));
        Assert.Contains("True winds of the demo on a grid.", page.Markup, StringComparison.Ordinal);

        await page.InvokeAsync(() => page.FindAll("select")[1].Change("los-F"));
        Assert.Contains("wind=los-F", Navigation.Uri, StringComparison.Ordinal);
        await page.InvokeAsync(() => page.Find("input[type=number]").Change("250"));
        Assert.Contains("distanceKm=250", Navigation.Uri, StringComparison.Ordinal);

        await page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent == "Forget").Click());
        Assert.Single(Host.Stores.Auxiliary.List(AuxiliaryKind.Winds));
        await page.InvokeAsync(() => page.FindAll("button").First(b => b.TextContent.StartsWith("Forget it", StringComparison.Ordinal)).Click());
        page.WaitForAssertion(() => Assert.Empty(Host.Stores.Auxiliary.List(AuxiliaryKind.Winds)));
        page.WaitForAssertion(() => Assert.Contains("No independent winds yet", page.Markup, StringComparison.Ordinal));
        Assert.Equal([(RecordKinds.ComparisonForget, "truth.csv"), (RecordKinds.FileReceive, "truth.csv")], Host.Stores.Record.List(new(Person: "someone"), 10).Items.Take(2).Select(e => (e.What, e.Subject)));
    }

    [Fact]
    public void The_zero_wind_shows_covariance_geometry_and_that_yaw_cannot_be_told_apart()
    {
        var columns = new ZeroWindColumn[ZeroWindGrid.Latitudes * ZeroWindGrid.Hours];
        var waiting = new ZeroWindEstimate
        {
            Line = "green",
            Status = ZeroWindStatus.CannotTellYet,
            Reasons = ["Both legs have seen 10 % of the places."],
            ExpectedAt = Instant.FromUtc(2031, 6, 10),
            Offsets = [new("F", 3.25, 4.5), new("A", -2, 4)],
            CovarianceM2S2 = [20.25, 7.5, 7.5, 16],
            TrendSigmaMs = [0.5, 0.4],
            Information = (0.12, 0.2),
            BinsUsed = 60,
            BinsSeen = 800,
            PairedShare = 0.1,
            HoursUsed = 9,
            Columns = columns,
            DailyWindSigmaMs = [double.NaN, 21, 30],
            Orbits = 300,
            Days = 20,
            From = Instant.FromUtc(2031, 4, 10),
            To = Instant.FromUtc(2031, 4, 30),
            LocalTimeRateHPerDay = -0.39,
        };
        var panel = Render<ZeroWindPanel>(p => p.Add(x => x.Day, 22400).Add(x => x.Estimates, [waiting, waiting with { Line = "red", Status = ZeroWindStatus.Claimed, Reasons = [], ExpectedAt = null }]));
        Assert.Contains(ZeroWindEstimate.YawSentence, panel.Markup, StringComparison.Ordinal);
        Assert.Contains("the geometry cannot tell yet", panel.Markup, StringComparison.Ordinal);
        Assert.Contains("Both legs have seen 10 % of the places.", panel.Markup, StringComparison.Ordinal);
        Assert.Contains("2031-06-10", panel.Markup, StringComparison.Ordinal);
        Assert.Contains("(not claimed)", panel.FindAll("section")[0].InnerHtml, StringComparison.Ordinal);
        Assert.DoesNotContain("(not claimed)", panel.FindAll("section")[1].InnerHtml, StringComparison.Ordinal);
        Assert.Contains("7.5", panel.Markup, StringComparison.Ordinal);
        Assert.Contains("21 to 30 m/s", panel.Markup, StringComparison.Ordinal);
        Assert.Contains("s=zero-wind~F~red", panel.Markup, StringComparison.Ordinal);
    }
}
