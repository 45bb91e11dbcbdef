using System.Globalization;
using Phasekeeper.Core.Tests.Fringes;

namespace Phasekeeper.Benchmarks;

/// <summary>Prints the accuracy of the phase fit beside the Fourier route's, as shares of the Cramér–Rao bound.</summary>
internal static class AccuracyTable
{
    private const int Exposures = 336;

    public static void Print(TextWriter output)
    {
        output.WriteLine("10,080 rows a cell; mean-square phase error over the Cramér–Rao bound of the unhit samples; bias in σ; reported σ over true rms.");
        output.WriteLine("Flat field, distortion, envelope, fiducials at an unknown shift, ±7.6 km/s of motion, ±200 m/s of wind, 2 e⁻ a count, read noise 8 e⁻.");
        output.WriteLine("The Fourier route has the same dark, flat field, fiducials, motion and reference, and no step against spikes: its rows with spikes show what they cost it.");
        output.WriteLine("spikes   e⁻/sample     V | fit: MSE/bound   bias/σ  σ/true  rms mrad  χ²/dof | Fourier: MSE/bound   bias/σ  rms mrad");
        foreach (var spikes in new[] { 0, 0.005 })
            foreach (var cell in FringeAccuracy.Cells(spikes))
            {
                var (fit, fourier) = FringeAccuracy.Run(cell, Exposures, seed: spikes == 0 ? 20310301UL : 20310302UL, withFourier: true);
                output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"{spikes,6:P1} {cell.SignalElectrons,10:F0} {cell.Visibility,6:F2} | {fit.MeanSquareOverBound,14:F3} {fit.BiasSigma,8:F3} {fit.SigmaOverTrue,7:F3} {fit.RmsRad * 1e3,9:F3} {fit.ChiSquare,7:F3} | {fourier!.MeanSquareOverBound,18:F2} {fourier.BiasSigma,8:F3} {fourier.RmsRad * 1e3,9:F3}"));
            }
    }
}
