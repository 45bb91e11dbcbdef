using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Web.Features.Coefficients.Proposals;

namespace Phasekeeper.Web.Tests.Features.Coefficients.Proposals;

public sealed class EvidenceWordsTests
{
    [Theory]
    [InlineData(10, 5, 0.1, ResidualOutcome.Better, "50 % smaller (± 10 %)")]
    [InlineData(10, 13, 0.1, ResidualOutcome.Worse, "30 % larger (± 10 %)")]
    [InlineData(10, 9, 0.1, ResidualOutcome.Same, "within its scatter (10 % smaller, ± 10 %)")]
    [InlineData(10, 9.995, 0.0001, ResidualOutcome.Same, "by less than 0.1 %")]
    [InlineData(10, 10, double.NaN, ResidualOutcome.Same, "unchanged")]
    [InlineData(10, 5, double.NaN, ResidualOutcome.NotTold, "50 % smaller; too few orbits tell its scatter")]
    [InlineData(0, 5, 0.1, ResidualOutcome.NotTold, "nothing to compare with")]
    [InlineData(double.NaN, 5, 0.1, ResidualOutcome.NotTold, "nothing to compare with")]
    public void A_residual_is_better_or_worse_by_more_than_twice_its_scatter(double before, double after, double sigma, ResidualOutcome outcome, string words)
    {
        var figures = new ResidualFigures(4, 100, before, after, 0, 0, sigma);
        Assert.Equal((outcome, words), (ResidualVerdict.Of(figures), ResidualVerdict.Words(figures)));
    }

    [Theory]
    [InlineData(null, null, 0, null)]
    [InlineData(300, 300, 0, null)]
    [InlineData(300, 310, 0, "310 measurements instead of 300")]
    [InlineData(300, 290, 10, "10 of 300 measurements lost (3.3 %), most on orbit 7; 290 are left")]
    [InlineData(300, 300, 4, "4 of 300 measurements lost (1.3 %), most on orbit 7; 300 are left")]
    public void What_is_lost_is_told(int? before, int? after, int lost, string? words) =>
        Assert.Equal(words, ResidualVerdict.Loss(new ResidualFigures(4, 100, 1, 1, 0, 0, 0.1) { MeasuredBefore = before, MeasuredAfter = after, Lost = lost, MostLostOrbit = lost > 0 ? 7 : null }));

    [Fact]
    public void Where_the_air_is_in_a_residual_it_is_not_judged_or_only_beyond_what_the_air_does()
    {
        var figures = new ResidualFigures(11, 11, 10.1, 3, -9.7, 1.3, 0.1);
        Assert.Equal((ResidualOutcome.Moved, "mean from −9.70 to 1.30; the air is in it"), (ResidualVerdict.Of(ResidualMeasures.ScenePhase, figures), ResidualVerdict.Words(ResidualMeasures.ScenePhase, figures)));
        Assert.Equal(ResidualOutcome.Better, ResidualVerdict.Of(ResidualMeasures.GreenRed, figures));
        Assert.Equal(ResidualOutcome.Worse, ResidualVerdict.Of(ResidualMeasures.GreenRed, figures with { RmsBefore = 4, RmsAfter = 15 }));
        Assert.Equal(ResidualOutcome.Same, ResidualVerdict.Of(ResidualMeasures.GreenRed, figures with { RmsBefore = 4, RmsAfter = 8 }));
        Assert.StartsWith("within the 5.00 m/s that the air does", ResidualVerdict.Words(ResidualMeasures.GreenRed, figures with { RmsBefore = 4, RmsAfter = 8 }), StringComparison.Ordinal);
        Assert.Equal(ResidualOutcome.Better, ResidualVerdict.Of(ResidualMeasures.Lamp, figures));
        Assert.Equal(ResidualOutcome.Same, ResidualVerdict.Of(ResidualMeasures.ScenePhase, figures with { RmsAfter = 10.1, MeanAfter = -9.7 }));
    }

    [Fact]
    public void Numbers_stand_by_how_many_sigma_they_change_and_lists_are_one_line()
    {
        CoefficientDifference Row(int row, double after) => new("optics.zeroWindRad", "F", "green", row.ToString(System.Globalization.CultureInfo.InvariantCulture), "rad", 1, after, null);
        FittedNumber Fit(string number, string? index, double before, double after, double sigma) => new(FitPart.ThermalLag, number, "F", "green", index, "s", before, after, sigma, 10, 0, 4);
        var groups = ChangedNumbers.Of(
            [new("optics.thermal.lagS", "F", "green", null, "s", 420, 431, null), Row(0, 1.1), Row(1, 1.4), new("dark.biasCounts", null, null, null, "count", 7, 8, null), new("optics.lampRatio", "F", "green", null, "1", 1, 1.001, null)],
            [Fit("optics.thermal.lagS", null, 420, 431, 2), Fit("optics.zeroWindRad", "0", 1, 1.1, 0.05), Fit("optics.zeroWindRad", "1", 1, 1.4, 0.05), Fit("optics.lampRatio", null, 1, 1.001, 0.01), Fit("optics.thermal.radPerK", null, 3, 3, 0.1)]);
        Assert.Equal(["dark.biasCounts", "optics.zeroWindRad", "optics.thermal.lagS", "optics.lampRatio", "optics.thermal.radPerK"], groups.Select(g => g.Largest.Number));
        Assert.Equal(["dark.biasCounts", "optics.zeroWindRad", "optics.thermal.lagS"], groups.Where(ChangedNumbers.IsShown).Select(g => g.Largest.Number));
        Assert.Equal(("1", 8.0, 2), (groups[1].Largest.Index, groups[1].Largest.ChangeSigmas, groups[1].Members.Count), new Close());
    }

    [Theory]
    [InlineData(new int[0], "none")]
    [InlineData(new[] { 5 }, "5")]
    [InlineData(new[] { 5, 6, 7, 9 }, "5–7, 9 (4 orbits)")]
    [InlineData(new[] { 1, 3, 5, 7, 9, 11, 13, 15, 17 }, "9 orbits between 1 and 17")]
    public void Orbits_are_told_in_stretches(int[] orbits, string expected) => Assert.Equal(expected, OrbitText.Of(orbits));

    [Theory]
    [InlineData("The window crosses an event at 2031-05-09T10:06:02.183324730Z: IFO_T1 at -4.526 degC. Before and after may want different numbers.", "The window crosses an event at 2031-05-09 10:06 UTC: IFO_T1 at −4.526 °C. Before and after may want different numbers.")]
    [InlineData("optics.thermal.radPerK has been falling, and the fit makes it larger by 14.6σ.", "Thermal slope k has been falling, and the fit makes it larger by 14.6σ.")]
    [InlineData("On 4 orbits held out the lamp-within-orbit residual grows from 3 to 4 m/s.", "On 4 orbits held out the lamp phase within the orbit residual grows from 3 to 4 m/s.")]
    [InlineData("On 4 orbits held out the wind-green-red-temperature residual grows from 3 to 4 m/s.", "On 4 orbits held out the difference of the lines' winds with temperature residual grows from 3 to 4 m/s.")]
    [InlineData("On 4 orbits held out the wind-green-red residual grows.", "On 4 orbits held out the difference of the lines' winds residual grows.")]
    [InlineData("The lamp test and image-shift-step stay as they are.", "The lamp test and image-shift-step stay as they are.")]
    public void Warnings_are_shown_in_words(string text, string expected) => Assert.Equal(expected, WarningText.Of(text));

    private sealed class Close : IEqualityComparer<(string? Index, double Sigmas, int Members)>
    {
        public bool Equals((string? Index, double Sigmas, int Members) x, (string? Index, double Sigmas, int Members) y) => x.Index == y.Index && x.Members == y.Members && Math.Abs(x.Sigmas - y.Sigmas) < 1e-9;

        public int GetHashCode((string? Index, double Sigmas, int Members) obj) => obj.Members;
    }
}
