using System.Globalization;
using Xunit.Abstractions;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>Days of seeds on which no number of the inversion was chosen (those are 201 to 212, 301 to 512 and 601 to 612), but for one decision with a look at these: at the terminator no height borrows from its neighbours.</summary>
public sealed class HeldOutDays
{
    public SeedPool Pool { get; } = new(701, 5);
}

/// <summary>
/// The bars of accuracy by line, light and altitude on held-out seeds: mean error against the truth through the averaging kernel within 0.5 m/s where the signal is good (σ below 8 m/s), error over σ
/// between 0.95 and 1.05 and what five days can tell of it (twice the seeds' own scatter), in cells with a thousand good winds. More
/// seeds: benchmark command <c>wind-survey FIRST_SEED SEEDS</c>.
/// </summary>
public class WindBarTests(HeldOutDays days, ITestOutputHelper output) : IClassFixture<HeldOutDays>
{
    private const double LargestBiasMs = 0.5, Few = 0.05, GoodSignalMs = 8;
    private const int LeastWinds = 1000;

    [Fact]
    public void Line_of_sight_winds_are_unbiased_and_their_errors_are_as_large_as_reported()
    {
        var judged = 0;
        foreach (var cell in days.Pool.Cells.Where(c => c.Light != Sunlight.Twilight && c.Count >= LeastWinds))
        {
            judged++;
            var (bias, ratio) = (cell.BiasMs, cell.KernelRatio);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{cell.Line} {cell.Light} {cell.LowKm}–{cell.HighKm} km: {cell.Count} winds, bias {bias.Value:0.00} ± {bias.Sigma:0.00} m/s, error/σ {ratio.Value:0.000} ± {ratio.Sigma:0.000}"));
            // Above 8 m/s the signal is not good, and a mean of few winds is known to some tenths only.
            if (cell.Seeds.Average(f => f.SigmaMs) < GoodSignalMs) Assert.InRange(bias.Value, -LargestBiasMs, LargestBiasMs);
            // What five days can tell: waves of one day are larger or smaller than a usual day's.
            var few = Few + 2 * ratio.Sigma;
            Assert.InRange(ratio.Value, 1 - few, 1 + few);
        }
        Assert.True(judged >= 8, $"{judged} cells");
    }

    [Fact]
    public void Twilight_winds_that_are_called_good_are_not_far_worse()
    {
        foreach (var cell in days.Pool.Cells.Where(c => c.Light == Sunlight.Twilight && c.Count >= LeastWinds))
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{cell.Line} {cell.LowKm}–{cell.HighKm} km: {cell.Count} winds, bias {cell.BiasMs.Value:0.00} m/s, error/σ {cell.KernelRatio.Value:0.000}"));
            Assert.InRange(cell.BiasMs.Value, -0.75, 0.75);
            Assert.InRange(cell.KernelRatio.Value, 0.9 - 2 * cell.KernelRatio.Sigma, 1.1 + 2 * cell.KernelRatio.Sigma);
        }
    }

    [Theory]
    [InlineData("green")]
    [InlineData("red")]
    public void Vectors_meet_the_eastward_and_northward_winds_with_the_same_honesty(string line)
    {
        var all = days.Pool.Vectors[line];
        Assert.All(all, v => Assert.True(v.Count > 500, $"{v.Count} vectors"));
        foreach (var (truth, of) in new (string, Func<VectorFigures, VectorErrors>)[] { ("kernel", v => v.Kernel), ("point", v => v.Point) })
        {
            SeedMean Of(Func<VectorErrors, double> value) => SeedMean.Of(all, v => value(of(v)), v => v.Count);
            var (east, north, eastRatio, northRatio, chi) = (Of(v => v.EastMs), Of(v => v.NorthMs), Of(v => v.EastRatio * v.EastRatio).Root(), Of(v => v.NorthRatio * v.NorthRatio).Root(), Of(v => v.HalfChiSquare));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{line} against the {truth} truth: {all.Sum(v => v.Count)} good vectors; mean error {east.Value:0.00} ± {east.Sigma:0.00} m/s east, {north.Value:0.00} ± {north.Sigma:0.00} m/s north; error/σ {eastRatio.Value:0.000} and {northRatio.Value:0.000}, χ²/2 {chi.Value:0.000}"));
            // Through the kernel the bar is that of the looks; against the point what smoothing does to tides is in the mean.
            Assert.InRange(east.Value, -(truth == "kernel" ? LargestBiasMs : 0.8), truth == "kernel" ? LargestBiasMs : 0.8);
            Assert.InRange(north.Value, -LargestBiasMs, LargestBiasMs);
            Assert.InRange(eastRatio.Value, 1 - Few - 2 * eastRatio.Sigma, 1 + Few + 2 * eastRatio.Sigma);
            Assert.InRange(northRatio.Value, 1 - Few - 2 * northRatio.Sigma, 1 + Few + 2 * northRatio.Sigma);
            Assert.InRange(chi.Value, 0.9, 1.1);
        }
    }
}
