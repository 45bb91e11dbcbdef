using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Fits;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Coefficients.Fits;

public sealed class DarkFitTests(ITestOutputHelper output)
{
    private const string Bias = "dark.biasCounts", Rate = "dark.rateElectronsPerS", Doubling = "dark.doublingK";

    private static FittedNumber Number(CoefficientFitResult fit, string number) => fit.Number(number, null);

    /// <summary>Seeds 1…40; a tenth of the exposures has 30 electrons too many.</summary>
    [Fact]
    public void Rate_and_doubling_are_recovered_within_their_sigma()
    {
        var window = new SimulatedWindow { Dark = new(120, 2.3, -20, 6.1), OutlierShare = 0.1, Orbits = 15 };
        var fits = Enumerable.Range(1, 40).Select(s => Fits.Of(window, (ulong)s, FitPart.Dark)).ToArray();
        foreach (var (number, truth) in new[] { (Rate, 2.3), (Doubling, 6.1) })
        {
            var (rms, mean) = Fits.Pulls(40, s => (Number(fits[s - 1], number), truth));
            output.WriteLine($"{number}: rms {rms:f3}, mean {mean:f3}, sigma {fits.Average(f => Number(f, number).Sigma):g3}");
            Assert.InRange(rms, 0.8, 1.2);
            Assert.InRange(Math.Abs(mean), 0, 3 / Math.Sqrt(40.0));
        }
        // With one integration time the bias stays, and says why.
        Assert.All(fits, f => Assert.Equal(120, f.Set.Dark.BiasCounts));
        Assert.All(fits, f => Assert.Contains(f.Warnings, w => w.Code == FitWarningCodes.NotDetermined && w.Text.Contains("bias", StringComparison.Ordinal)));
    }

    [Fact]
    public void Different_integration_times_tell_the_bias_from_the_rate()
    {
        var window = new SimulatedWindow { Dark = new(121.5, 2.3, -20, 6.5), DarkIntegrationsS = [20, 5], Orbits = 15 };
        var fit = Fits.Of(window, 7, FitPart.Dark);
        foreach (var (number, truth) in new[] { (Bias, 121.5), (Rate, 2.3), (Doubling, 6.5) })
            Assert.InRange(Math.Abs(Number(fit, number).After - truth), 0, 4 * Number(fit, number).Sigma);
        Assert.InRange(Number(fit, Bias).Sigma, 0, 0.3);
        Assert.Equal([Bias, Rate, Doubling], fit.Numbers.Select(n => n.Number));
    }

    [Fact]
    public void A_detector_at_one_temperature_keeps_the_doubling()
    {
        var fit = Fits.Of(new SimulatedWindow { Dark = new(120, 2.3, -20, 6.1), DetectorSwingK = 0.2 }, 7, FitPart.Dark);
        Assert.Equal([Rate], fit.Numbers.Select(n => n.Number));
        Assert.Equal(6.5, fit.Set.Dark.DoublingK);
        Assert.InRange(Math.Abs(Number(fit, Rate).After - 2.3), 0, 4 * Number(fit, Rate).Sigma);
        Assert.Contains(fit.Warnings, w => w.Code == FitWarningCodes.LittleRange);
    }
}
