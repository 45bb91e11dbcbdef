using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Coefficients.Fits;

/// <summary>Short ways to fit a simulated window and to look at what came out.</summary>
internal static class Fits
{
    public static readonly FitPart[] Thermal = [FitPart.ThermalSlope, FitPart.ThermalLag, FitPart.LampReference];

    public static CoefficientFitResult Of(SimulatedWindow window, ulong seed, params FitPart[] parts) => Of(window, window.Make(seed), parts);

    public static CoefficientFitResult Of(SimulatedWindow window, IReadOnlyList<OrbitInput> orbits, params FitPart[] parts) => Of(window, orbits, new(), parts);

    public static CoefficientFitResult Of(SimulatedWindow window, IReadOnlyList<OrbitInput> orbits, FitSurroundings around, params FitPart[] parts) =>
        CoefficientFit.Fit(window.Set, window.Instrument, orbits, parts.ToHashSet(), around);

    public static FittedNumber Number(this CoefficientFitResult fit, string number, string? view = "F") => fit.Numbers.First(n => n.Number == number && n.View == view);

    /// <summary>Error over σ of a number in seeds 1…<paramref name="seeds"/>: rms and mean.</summary>
    public static (double Rms, double Mean) Pulls(int seeds, Func<int, (FittedNumber Number, double Truth)> one)
    {
        double[] pulls = [.. Enumerable.Range(1, seeds).Select(one).Select(p => (p.Number.After - p.Truth) / p.Number.Sigma)];
        return (Math.Sqrt(pulls.Average(p => p * p)), pulls.Average());
    }
}
