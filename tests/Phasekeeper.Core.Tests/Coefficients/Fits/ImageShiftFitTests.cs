using Phasekeeper.Core.Coefficients.Fits;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Coefficients.Fits;

public sealed class ImageShiftFitTests(ITestOutputHelper output)
{
    private const string Slope = "imageShift.samplesPerK", Offset = "imageShift.offsetSamples";

    /// <summary>Seeds 1…40; a tenth of the fiducials is hit by 0.2 samples, fifty of their σ.</summary>
    [Fact]
    public void The_law_is_recovered_within_its_sigma_also_with_gross_errors()
    {
        var window = new SimulatedWindow { ShiftOffset = 0.02, ShiftPerK = 0.05, OutlierShare = 0.1, ShiftOutlier = 0.2, Orbits = 10 };
        var fits = Enumerable.Range(1, 40).Select(s => Fits.Of(window, (ulong)s, FitPart.ImageShift)).ToArray();
        foreach (var (number, truth) in new[] { (Slope, 0.05), (Offset, 0.02) })
        {
            var (rms, mean) = Fits.Pulls(40, s => (fits[s - 1].Number(number), truth));
            output.WriteLine($"{number}: rms {rms:f3}, mean {mean:f3}, sigma {fits.Average(f => f.Number(number).Sigma):g3}");
            Assert.InRange(rms, 0.8, 1.2);
            Assert.InRange(Math.Abs(mean), 0, 3 / Math.Sqrt(40.0));
        }
        output.WriteLine($"windows with a step that is none: {fits.Count(f => f.Warnings.Any(w => w.Code == FitWarningCodes.CrossesEvent))}");
        Assert.All(fits, f => Assert.InRange(f.Number(Slope).Rejected, 15, 60)); // of 360
        Assert.Equal((0.048, 15.0), (fits[0].Number(Slope).Before, fits[0].Set.ImageShift[0].ReferenceC));
    }

    [Fact]
    public void A_step_is_told_and_the_offset_is_the_one_after_it()
    {
        var window = new SimulatedWindow { ShiftStep = 0.06, ShiftOrbitScatter = 0.0005 };
        var fit = Fits.Of(window, 3, FitPart.ImageShift);
        var told = Assert.Single(fit.Warnings, w => w.Code == FitWarningCodes.CrossesEvent);
        Assert.Equal("F", told.View);
        Assert.InRange(Math.Abs(fit.Number(Offset).After - 0.08), 0, 4 * fit.Number(Offset).Sigma);
        Assert.InRange(fit.Number(Offset).Sigma, 0, 0.002);
        Assert.InRange(Math.Abs(fit.Number(Slope).After - 0.05), 0, 4 * fit.Number(Slope).Sigma);
    }

    [Fact]
    public void Without_a_swing_of_the_bench_the_slope_stays()
    {
        var little = Fits.Of(new SimulatedWindow { BenchSwingK = 0.3 }, 3, FitPart.ImageShift);
        var much = Fits.Of(new SimulatedWindow(), 3, FitPart.ImageShift);
        Assert.Contains(little.Warnings, w => w.Code == FitWarningCodes.LittleRange && w.View == "F");
        Assert.InRange(little.Number(Slope).Sigma / much.Number(Slope).Sigma, 4, 12);
        var none = Fits.Of(new SimulatedWindow { BenchSwingK = 0.1 }, 3, FitPart.ImageShift);
        Assert.Equal([Offset], none.Numbers.Select(n => n.Number));
        Assert.Equal(0.048, none.Set.ImageShift[0].SamplesPerK);
        Assert.Contains(none.Warnings, w => w.Code == FitWarningCodes.NotDetermined && w.Text.Contains("0.20 K", StringComparison.Ordinal));
    }
}
