using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>The accuracy bar: 12 cells of at least 10,000 rows, with a fixed seed. The benchmark <c>accuracy</c> prints the same table.</summary>
public sealed class FringeAccuracyTests
{
    private const int Exposures = 336; // × 30 rows = 10,080
    private const double LargestMeanSquareOverBound = 1.04;
    private const double LargestWithSpikes = 1.15;
    private const double LargestBiasSigma = 0.05;
    private const double LargestSigmaError = 0.03;

    public static TheoryData<double, double> Cells()
    {
        var cells = new TheoryData<double, double>();
        foreach (var cell in FringeAccuracy.Cells()) cells.Add(cell.SignalElectrons, cell.Visibility);
        return cells;
    }

    [Theory]
    [MemberData(nameof(Cells))]
    public void Phase_reaches_the_Cramer_Rao_bound_without_bias_and_with_the_right_sigma(double signal, double visibility)
    {
        var fit = FringeAccuracy.Run(new AccuracyCell(signal, visibility), Exposures, seed: 20310301).Fit;
        Assert.True(fit.Rows >= 10_000);
        Assert.True(fit.MeanSquareOverBound <= LargestMeanSquareOverBound, fit.ToString());
        Assert.True(Math.Abs(fit.BiasSigma) < LargestBiasSigma, fit.ToString());
        Assert.True(Math.Abs(fit.SigmaOverTrue - 1) < LargestSigmaError, fit.ToString());
    }

    [Theory]
    [MemberData(nameof(Cells))]
    public void Spikes_in_one_sample_of_200_cost_at_most_15_percent_of_the_bound_of_the_others(double signal, double visibility)
    {
        var fit = FringeAccuracy.Run(new AccuracyCell(signal, visibility, SpikeProbability: 0.005), Exposures, seed: 20310302).Fit;
        Assert.True(fit.Rows >= 10_000);
        Assert.True(fit.MeanSquareOverBound <= LargestWithSpikes, fit.ToString());
        Assert.True(Math.Abs(fit.BiasSigma) < LargestBiasSigma, fit.ToString());
    }

    // 20,000 e⁻ at V = 0.65 is 4,000 to 16,600 counts at 2 e⁻ a count; V = 0.9 reaches 19,000.
    [Theory]
    [InlineData(20000, 0.65, 13000)]
    [InlineData(20000, 0.9, 10120)]
    [InlineData(5000, 0.9, 3500)]
    public void Saturated_samples_are_masked_without_bias(double signal, double visibility, int saturationCounts)
    {
        var fit = FringeAccuracy.Run(new AccuracyCell(signal, visibility, SaturationCounts: saturationCounts), Exposures, seed: 20310303).Fit;
        Assert.True(Math.Abs(fit.BiasSigma) < LargestBiasSigma, fit.ToString());
        Assert.True(Math.Abs(fit.SigmaOverTrue - 1) < LargestSigmaError, fit.ToString());
        Assert.InRange(fit.ChiSquare, 0.98, 1.02);
    }
}
