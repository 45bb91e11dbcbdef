using System.Diagnostics;
using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Tests.Fringes;

namespace Phasekeeper.Benchmarks;

/// <summary>Rows a second of processor time of the whole retrieval on one thread: dark, flat, spikes, image shift, phase, uncertainties.</summary>
internal static class FringeSpeed
{
    public static void Print(TextWriter output)
    {
        foreach (var (label, spikes) in new[] { ("no spikes", 0.0), ("0.5 % of samples hit", 0.005) })
            foreach (var signal in new[] { 300.0, 5000, 20000 })
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{label,-22} {signal,6:F0} e⁻: {RowsPerSecond(signal, spikes),10:N0} rows/s of 256 samples"));
    }

    private static double RowsPerSecond(double signal, double spikes)
    {
        var (retrieval, frames, motion) = Prepare(signal, spikes);
        void Once()
        {
            foreach (var frame in frames) retrieval.Retrieve(frame, FringeFixtures.DetectorC, motion, 0.1);
        }
        for (var i = 0; i < 20; i++) Once();
        // Processor time, not wall-clock time: other work on the machine must not count. Its clock ticks in 10 ms.
        var best = double.MaxValue;
        using var process = Process.GetCurrentProcess();
        for (var batch = 0; batch < 6; batch++)
        {
            process.Refresh();
            var start = process.TotalProcessorTime;
            for (var i = 0; i < 40; i++) Once();
            process.Refresh();
            best = Math.Min(best, (process.TotalProcessorTime - start).TotalSeconds / 40);
        }
        return frames.Length * FringeFixtures.Rows / best;
    }

    private static (FringeRetrieval, FringeFrame[], double[]) Prepare(double signal, double spikes)
    {
        var instrument = FringeFixtures.Instrument();
        var set = FringeFixtures.Coefficients();
        var simulator = new FringeSimulator(instrument, set, "F", "green", new NoiseSource(5)) { SpikeProbability = spikes };
        var motion = Enumerable.Range(0, instrument.Rows).Select(r => -7600.0 + 3 * r).ToArray();
        var envelope = simulator.Envelope();
        var notch = simulator.Notch(0.13);
        var frames = Enumerable.Range(0, 32).Select(e => simulator.Frame(ExposureKind.Scene, [.. Enumerable.Range(0, instrument.Rows).Select(r =>
        {
            var phase = simulator.Pattern(r, lamp: false).Select((p, i) => p + 0.5 - simulator.Kappa(i) * (motion[r] + 80)).ToArray();
            return simulator.Row(r, simulator.Transmission(r, notch), envelope, phase, signal, 0.65, FringeFixtures.DarkElectrons);
        })], FringeFixtures.IntegrationS, e)).ToArray();
        return (new FringeRetrieval(instrument, set, "F", "green"), frames, motion);
    }
}
