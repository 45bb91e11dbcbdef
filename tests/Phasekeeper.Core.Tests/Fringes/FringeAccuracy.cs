using System.Numerics;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>What was simulated: signal in electrons a sample, visibility, spikes, saturation.</summary>
public sealed record AccuracyCell(double SignalElectrons, double Visibility, double SpikeProbability = 0, int SaturationCounts = 60000);

/// <summary>Phase errors of one route over the rows of a cell, as shares of the Cramér–Rao bound and of the reported σ.</summary>
public sealed record RouteFigures(int Rows, double MeanSquareOverBound, double BiasSigma, double SigmaOverTrue, double RmsRad, double ChiSquare);

/// <summary>
/// The accuracy experiment: exposures of 30 rows with flat field, distortion, envelope, fiducials at an unknown shift, 7.6 km/s of satellite motion,
/// an unknown wind to ±200 m/s and an unknown drift, retrieved and compared with the Cramér–Rao bound of the samples that nothing hit.
/// Shared by the test (fixed seed) and by the benchmark <c>accuracy</c>.
/// </summary>
public static class FringeAccuracy
{
    private const double SatelliteMs = 7600;

    /// <summary>The twelve cells of the accuracy bar.</summary>
    public static IEnumerable<AccuracyCell> Cells(double spikeProbability = 0) =>
        from signal in new[] { 300.0, 1000, 5000, 20000 } from visibility in new[] { 0.3, 0.65, 0.9 } select new AccuracyCell(signal, visibility, spikeProbability);

    /// <summary>Runs a cell; the Fourier route, with the same dark, flat and reference, only when asked for.</summary>
    public static (RouteFigures Fit, RouteFigures? Fourier) Run(AccuracyCell cell, int exposures, ulong seed, bool withFourier = false)
    {
        var instrument = FringeFixtures.Instrument(2, cell.SaturationCounts);
        var set = FringeFixtures.Coefficients();
        var noise = new NoiseSource(seed);
        var simulator = new FringeSimulator(instrument, set, "F", "green", noise) { SpikeProbability = cell.SpikeProbability };
        var retrieval = new FringeRetrieval(instrument, set, "F", "green");
        var fourier = withFourier ? new FourierRoute(instrument, set, simulator) : null;
        var envelope = simulator.Envelope();
        var patterns = Enumerable.Range(0, instrument.Rows).Select(r => simulator.Pattern(r, lamp: false)).ToArray();
        var kappa = Enumerable.Range(0, instrument.Samples).Select(i => simulator.Kappa(i)).ToArray();
        var cycles = instrument.Lines[0].Cycles;
        double floor = FringeFixtures.DarkElectrons + 64 + 4 / 12.0, saturation = (cell.SaturationCounts - 120) * 2.0 - FringeFixtures.DarkElectrons;
        var fit = new Tally();
        var other = new Tally();
        var rows = new ushort[]?[instrument.Rows];
        double[] motion = new double[instrument.Rows], truth = new double[instrument.Rows], bound = new double[instrument.Rows], phase = new double[instrument.Samples];
        var masked = new bool[instrument.Samples];
        for (var e = 0; e < exposures; e++)
        {
            double shift = noise.Uniform(-0.4, 0.4), drift = noise.Uniform(-3, 3);
            var image = -2 * Math.PI * cycles * shift / instrument.Samples;
            var notch = simulator.Notch(shift);
            for (var r = 0; r < instrument.Rows; r++)
            {
                var transmission = simulator.Transmission(r, notch);
                motion[r] = (e % 2 == 0 ? -SatelliteMs : SatelliteMs) + noise.Uniform(-60, 60);
                var wind = noise.Uniform(-200, 200);
                for (var i = 0; i < phase.Length; i++) phase[i] = patterns[r][i] + drift + image - kappa[i] * (motion[r] + wind);
                truth[r] = drift + image - simulator.Kappa(simulator.Centre) * wind;
                rows[r] = simulator.Row(r, transmission, envelope, phase, cell.SignalElectrons, cell.Visibility, FringeFixtures.DarkElectrons);
                for (var i = 0; i < phase.Length; i++)
                    masked[i] = simulator.Hit[r][i]
                        || transmission[i] * cell.SignalElectrons * (1 + cell.Visibility * envelope[i] * Math.Cos(phase[i])) >= saturation;
                bound[r] = CramerRaoBound.Of(transmission, envelope, phase, cell.SignalElectrons, cell.Visibility, floor, masked).PhaseSigmaRad;
            }
            var frame = simulator.Frame(ExposureKind.Scene, rows, FringeFixtures.IntegrationS, e);
            var result = retrieval.Retrieve(frame, FringeFixtures.DetectorC, motion, shift + 0.05 * noise.Gauss());
            for (var r = 0; r < instrument.Rows; r++)
            {
                if (result.Status[r] != RowStatus.Ok) throw new InvalidOperationException($"{cell}: exposure {e}, row {r} is {result.Status[r]}.");
                fit.Add(FringeFixtures.Wrap(result.PhaseRad[r] - truth[r]), result.PhaseSigmaRad[r], bound[r], result.ChiSquare[r]);
                if (fourier is null) continue;
                other.Add(FringeFixtures.Wrap(fourier.Phase(r, rows[r]!, motion[r], result.ImageShiftSamples) - truth[r]), bound[r], bound[r], 1);
            }
        }
        return (fit.Figures(), withFourier ? other.Figures() : null);
    }

    private sealed class Tally
    {
        private double square, bounds, sigmas, pull, chi;
        private int n;

        public void Add(double error, double sigma, double bound, double chiSquare)
        {
            square += error * error;
            bounds += bound * bound;
            sigmas += sigma * sigma;
            pull += error / sigma;
            chi += chiSquare;
            n++;
        }

        public RouteFigures Figures() => new(n, square / bounds, pull / n, Math.Sqrt(sigmas / square), Math.Sqrt(square / n), chi / n);
    }

    /// <summary>
    /// The Fourier route as the literature uses it, given the same knowledge: dark and flat field and fiducials (at the fitted shift) divided
    /// out, a reference with Ψ, Z_r, envelope and the same motion, taken through the same window.
    /// </summary>
    private sealed class FourierRoute(InstrumentModel instrument, CoefficientSet set, FringeSimulator simulator)
    {
        private readonly double[] envelope = simulator.Envelope();

        public double Phase(int row, ushort[] counts, double motionMs, double shift)
        {
            var n = instrument.Samples;
            var transmission = simulator.Transmission(row, simulator.Notch(shift));
            var pattern = simulator.Pattern(row, lamp: false);
            var reference = new double[n];
            var electrons = new double[n];
            var ones = new double[n];
            for (var i = 0; i < n; i++)
            {
                electrons[i] = (counts[i] - set.Dark.BiasCounts) * instrument.ElectronsPerCount - FringeFixtures.DarkElectrons;
                reference[i] = 1 + 0.5 * envelope[i] * Math.Cos(pattern[i] - simulator.Kappa(i) * motionMs);
                ones[i] = 1;
            }
            // The motion moves the peak by (w/c)·σ·dD·N cycles; the window follows it.
            var line = instrument.Lines[0];
            var moved = line.Cycles - motionMs / LineModel.SpeedOfLightMs * line.WavenumberPerM * line.OpdStepUm * 1e-6 * n;
            var route = new FourierPhase((int)Math.Round(moved), 16, n / 8, n - n / 8);
            return Mean(route.Analytic(electrons, transmission), route.Analytic(reference, ones), n / 8, n - n / 8);
        }

        // The mean direction instead of the mean of arctangents: the route's phases wrap near ±π, which the comparison must not punish.
        private static double Mean(Complex[] fringe, Complex[] reference, int from, int to)
        {
            var start = Complex.Zero;
            for (var i = from; i < to; i++) start += fringe[i] * Complex.Conjugate(reference[i]);
            var turn = Complex.FromPolarCoordinates(1, -start.Phase);
            var sum = 0.0;
            for (var i = from; i < to; i++) sum += (fringe[i] * Complex.Conjugate(reference[i]) * turn).Phase;
            return start.Phase + sum / (to - from);
        }
    }
}
