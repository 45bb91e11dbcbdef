using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Text.Json;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Tests.Fringes;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Rows a second of one core: the whole retrieval (dark, flat, motion, spikes, image shift, phase, uncertainties) beside the literature's Fourier route in SciPy and a
/// vectorised weighted least squares in NumPy, on the same counts in the same run. Processor time: other work on the machine does not count.
/// </summary>
internal static class FringeSpeed
{
    internal const int Rows = 36, Samples = 320, Frames = 64;
    private const double Motion0Ms = -7600, WindMs = 80, PhaseRad = 0.5, Shift = 0.13;

    private sealed record Case(string Label, double Signal, double Spikes);

    private static readonly Case[] Cases =
    [
        new("5,000 e⁻", 5000, 0), new("300 e⁻", 300, 0), new("20,000 e⁻", 20000, 0), new("5,000 e⁻, every 10th row hit", 5000, 0.1 / Samples), new("5,000 e⁻, storm: 1.6 a row", 5000, 0.005),
    ];

    public static async Task PrintAsync(TextWriter output)
    {
        var bandwidth = ReadBandwidth();
        await output.WriteLineAsync(Line($"Rows of {Samples} samples, {Rows} rows a frame, one core. This machine reads {bandwidth:0.0} GB/s from memory with one core."));
        await output.WriteLineAsync($"{"",-30} {"rows/s",12} {"GB/s of counts",15} {"of bandwidth",13} {"× Fourier",10} {"× least sq.",12}   scatter of phases, mrad: ours, Fourier, least squares");
        foreach (var one in Cases)
        {
            var frames = new FringeFrames(one.Signal, one.Spikes);
            var (speed, scatter) = frames.Measure();
            var gb = speed * Samples * sizeof(ushort) * 1e-9;
            var line = Line($"{one.Label,-30} {speed,12:N0} {gb,15:0.00} {gb / bandwidth,13:0.0%}");
            var folder = Directory.CreateTempSubdirectory("pk-fringes-").FullName;
            try
            {
                frames.Write(folder);
                if (await Peer.RunAsync(output, "fringes.py", folder) is { } peers)
                {
                    double Of(string route, string what) => peers.GetProperty(route).GetProperty(what).GetDouble();
                    line += Line($" {speed / Of("fourier", "rows_per_s"),10:0.0} {speed / Of("least_squares", "rows_per_s"),12:0.0}   {1e3 * scatter:0.00}, {1e3 * Of("fourier", "error_rms_rad"):0.00}, {1e3 * Of("least_squares", "error_rms_rad"):0.00}");
                }
            }
            finally
            {
                Directory.Delete(folder, recursive: true);
            }
            await output.WriteLineAsync(line);
        }
    }

    private static string Line(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    /// <summary>GB/s at which one core sums an array that no cache holds; best of eight.</summary>
    private static double ReadBandwidth()
    {
        var array = new float[64 << 20];
        Array.Fill(array, 1);
        var best = double.MaxValue;
        for (var turn = 0; turn < 8; turn++)
        {
            var start = Stopwatch.GetTimestamp();
            Vector512<float> a = Vector512<float>.Zero, b = a, c = a, d = a;
            ref var first = ref MemoryMarshal.GetArrayDataReference(array);
            for (nuint i = 0; i < (nuint)array.Length; i += 64)
            {
                a += Vector512.LoadUnsafe(ref first, i);
                b += Vector512.LoadUnsafe(ref first, i + 16);
                c += Vector512.LoadUnsafe(ref first, i + 32);
                d += Vector512.LoadUnsafe(ref first, i + 48);
            }
            best = Math.Min(best, Stopwatch.GetElapsedTime(start).TotalSeconds);
            GC.KeepAlive(Vector512.Sum(a + b + c + d));
        }
        return array.Length * 4e-9 / best;
    }

    /// <summary>Frames of one kind of scene, and how fast and well they are retrieved.</summary>
    internal sealed class FringeFrames
    {
        private readonly FringeRetrieval retrieval;
        private readonly FringeSimulator simulator;
        private readonly FringeFrame[] frames;
        private readonly double[] motion = [.. Enumerable.Range(0, Rows).Select(r => Motion0Ms + 3 * r)];

        public FringeFrames(double signal, double spikes)
        {
            var instrument = FringeFixtures.Instrument(rows: Rows, samples: Samples);
            var set = FringeFixtures.Coefficients(Rows, Samples);
            simulator = new FringeSimulator(instrument, set, "F", "green", new NoiseSource(5)) { SpikeProbability = spikes };
            var (envelope, notch) = (simulator.Envelope(), simulator.Notch(Shift));
            var kappa = Enumerable.Range(0, Samples).Select(i => simulator.Kappa(i)).ToArray();
            frames = [.. Enumerable.Range(0, Frames).Select(e => simulator.Frame(ExposureKind.Scene, [.. Enumerable.Range(0, Rows).Select(r =>
            {
                var phase = simulator.Pattern(r, lamp: false).Select((p, i) => p + PhaseRad - kappa[i] * (motion[r] + WindMs)).ToArray();
                return simulator.Row(r, simulator.Transmission(r, notch), envelope, phase, signal, 0.65, FringeFixtures.DarkElectrons);
            })], FringeFixtures.IntegrationS, e))];
            retrieval = new FringeRetrieval(instrument, set, "F", "green");
        }

        private double Truth => PhaseRad - simulator.Kappa(simulator.Centre) * WindMs;

        /// <summary>Retrieves all frames.</summary>
        public void Retrieve()
        {
            foreach (var frame in frames) retrieval.Retrieve(frame, FringeFixtures.DetectorC, motion, 0.1);
        }

        /// <summary>Rows a second of processor time, and the scatter of the phases about the truth, rad.</summary>
        public (double RowsPerS, double ScatterRad) Measure()
        {
            // Until the runtime has compiled all of it for good.
            for (var watch = Stopwatch.StartNew(); watch.ElapsedMilliseconds < 1500;) Retrieve();
            using var process = Process.GetCurrentProcess();
            var best = double.MaxValue;
            for (var batch = 0; batch < 6; batch++)
            {
                var times = 0;
                process.Refresh();
                var start = process.TotalProcessorTime;
                // The processor's clock ticks in 10 ms.
                for (var watch = Stopwatch.StartNew(); watch.ElapsedMilliseconds < 500; times++) Retrieve();
                process.Refresh();
                best = Math.Min(best, (process.TotalProcessorTime - start).TotalSeconds / times);
            }
            var errors = frames.SelectMany(f => retrieval.Retrieve(f, FringeFixtures.DetectorC, motion, 0.1).PhaseRad).Select(p => FringeFixtures.Wrap(p - Truth)).ToArray();
            return (Frames * Rows / best, Math.Sqrt(errors.Average(e => e * e)));
        }

        /// <summary>Writes what the peers need.</summary>
        public void Write(string folder)
        {
            void Put<T>(string name, IEnumerable<T> values) where T : unmanaged => File.WriteAllBytes(Path.Combine(folder, name), MemoryMarshal.AsBytes(values.ToArray().AsSpan()));
            var ones = Enumerable.Repeat(1.0, Samples).ToArray();
            Put("counts.u16", frames.SelectMany(f => f.Rows).SelectMany(r => r!));
            Put("flat.f64", Enumerable.Range(0, Rows).SelectMany(r => simulator.Transmission(r, ones)));
            Put("theta.f64", Enumerable.Range(0, Rows).SelectMany(r => simulator.Pattern(r, lamp: false)));
            Put("envelope.f64", simulator.Envelope());
            Put("notch.f64", simulator.Notch(Shift));
            Put("kappa.f64", Enumerable.Range(0, Samples).Select(i => simulator.Kappa(i)));
            Put("motion.f64", motion);
            Put("truth.f64", Enumerable.Repeat(Truth, Frames * Rows));
            var instrument = FringeFixtures.Instrument(rows: Rows, samples: Samples);
            var dark = FringeFixtures.Coefficients(Rows, Samples).Dark;
            File.WriteAllText(Path.Combine(folder, "meta.json"), JsonSerializer.Serialize(new
            {
                rows = Rows,
                samples = Samples,
                frames = Frames,
                gain = instrument.ElectronsPerCount,
                bias = dark.BiasCounts,
                dark = FringeFixtures.DarkElectrons,
                floor = FringeFixtures.DarkElectrons + instrument.ReadNoiseElectrons * instrument.ReadNoiseElectrons + instrument.ElectronsPerCount * instrument.ElectronsPerCount / 12,
                slope_prior = FringeRetrieval.WindPriorMs * (simulator.Kappa(1) - simulator.Kappa(0)),
            }));
        }
    }
}
