using System.Diagnostics;
using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Benchmarks;

/// <summary>Processor time of the path geometry of one exposure and view, and of one inversion, on one thread.</summary>
internal static class WindSpeed
{
    public static void Print(TextWriter output)
    {
        output.WriteLine("rows | looks ms   path geometry ms   inversion ms (processor time, best of six batches)");
        foreach (var rows in new[] { 16, 24, 36 })
        {
            var (looks, input, look) = Prepare(rows);
            var paths = LimbPaths.TryBuild(looks)!;
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{rows,4} | {Best(() => look()),8:0.000} {Best(() => LimbPaths.TryBuild(looks)),18:0.000} {Best(() => LosWindRetrieval.Retrieve(input, paths)),14:0.000}"));
        }
    }

    private static double Best(Action action)
    {
        for (var i = 0; i < 60; i++) action();
        using var process = Process.GetCurrentProcess();
        var best = double.MaxValue;
        for (var batch = 0; batch < 6; batch++)
        {
            process.Refresh();
            var start = process.TotalProcessorTime;
            const int times = 150;
            for (var i = 0; i < times; i++) action();
            process.Refresh();
            best = Math.Min(best, (process.TotalProcessorTime - start).TotalMilliseconds / times);
        }
        return best;
    }

    internal static (LookSample[] Looks, LosWindInput Input, Action Look) Prepare(int rows)
    {
        const double radius = 6_953_137;
        var speed = Math.Sqrt(3.986004418e14 / radius);
        var time = Instant.ParseUtc("2031-03-21T12:00:00Z");
        var state = new OrbitState(new Vec3(0.6 * radius, 0.5 * radius, Math.Sqrt(0.39) * radius), speed * Vec3.Cross(new Vec3(0.6, 0.5, Math.Sqrt(0.39)), new Vec3(1, -1, 0.2)).Normalized());
        LookSample[] Looks()
        {
            var geometry = new LookGeometry(time, state);
            return [.. Enumerable.Range(0, rows).Select(r => geometry.Look(45, 21.35 + (15.9 - 21.35) * r / (rows - 1)))];
        }
        var looks = Looks();
        // Phases and signals of a plausible layer; speed hardly depends on them.
        double[] Fill(Func<double, double> value) => [.. looks.Select(l => value(l.TangentAltitudeM * 1e-3))];
        var signal = Fill(z => 20_000 * Math.Exp(-Math.Max(0, z - 160) / 50) + 3000 * Math.Exp(-Math.Abs(z - 97) / 7));
        var result = new FringeResult
        {
            Exposure = 1,
            Kind = ExposureKind.Scene,
            View = "F",
            Line = "green",
            Time = time,
            IntegrationS = 30,
            Status = new RowStatus[rows],
            PhaseRad = Fill(z => 0.1 * Math.Sin(z / 20)),
            PhaseSigmaRad = [.. signal.Select(s => 0.15 / Math.Sqrt(s))],
            Visibility = Fill(_ => 0.65),
            VisibilitySigma = Fill(_ => 0.001),
            SignalElectrons = signal,
            SignalSigmaElectrons = [.. signal.Select(Math.Sqrt)],
            ChiSquare = Fill(_ => 1),
            MaskedSamples = new int[rows],
            SpikeSamples = new int[rows],
            SaturatedSamples = new int[rows],
            VelocityRemovedMs = [.. looks.Select(l => l.MotionMs)],
            ImageShiftSamples = 0,
            ImageShiftSigmaSamples = 0.004,
            DetectorC = -20,
        };
        return (looks, new LosWindInput
        {
            Fringe = result,
            Looks = looks,
            Line = new() { Id = "green", WavelengthVacuumNm = 557.8887, Cycles = 57.7, OpdMm = 50, OpdStepUm = 46.875, LampWavelengthVacuumNm = 557.18, LampCycles = 85.059 },
            Samples = 256,
            Drift = new DriftEstimate(0, 0.0005, 0, 0, DriftSource.Lamp, false, 0),
            Shift = new ShiftEstimate(0, 0.001, true),
            SatelliteVelocityEcefAxesMs = EarthRotation.TemeToEcef(time) * state.VelocityTemeMs,
            WindGradientMsPerMm = Fill(_ => 10),
        }, () => Looks());
    }
}
