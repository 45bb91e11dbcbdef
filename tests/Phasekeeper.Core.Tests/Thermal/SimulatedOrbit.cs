using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Thermal;

/// <summary>
/// Five orbits of lamp and scene results around orbit 100, straight from the formulas of domain.md sections 2 and 3 with noise added: an
/// eclipse-like temperature, its lag integrated in small steps (not by the code under test), a bench law, ageing. Deterministic by seed.
/// </summary>
internal sealed class SimulatedOrbit
{
    public const double OrbitS = 5760;
    public const double LampSigmaRad = 0.002;
    private const double StepS = 2;

    public static readonly Instant Start = Instant.FromUtc(2031, 4, 1);

    public double RadPerK { get; init; } = 0.71;
    public double LagS { get; init; } = 420;
    public double ApprovedRadPerK { get; init; } = 0.71;
    public double ApprovedLagS { get; init; } = 420;
    public double AgeingRad { get; init; }
    public double SecondViewExtraRad { get; init; }
    public double ShiftStepSamples { get; init; }
    public double TrueShiftSlope { get; init; } = 0.05;
    public double ShiftSigmaSamples { get; init; } = 0.004;
    public double ShiftWanderSamples { get; init; }
    public bool Lamps { get; init; } = true;
    public bool Bench { get; init; } = true;
    public bool Fiducials { get; init; } = true;
    public bool Views { get; init; } = true;
    public double WindMs { get; init; } = 25;
    public (double FromS, double ToS)? TemperatureGap { get; init; }
    public int Rows { get; init; } = 6;

    private static readonly LineModel Green = new()
    {
        Id = "green",
        WavelengthVacuumNm = 557.8887,
        Cycles = 57.70,
        OpdMm = 50,
        OpdStepUm = 46.875,
        LampWavelengthVacuumNm = 557.18,
        LampCycles = 85.06,
    };

    /// <summary>Air-side temperature: cools in shadow, warms in sunlight, towards two equilibria.</summary>
    private static double[] Temperatures(double fromS, double toS)
    {
        var n = (int)((toS - fromS) / StepS) + 1;
        var result = new double[n];
        var c = 20.0;
        for (var i = 0; i < n; i++)
        {
            result[i] = c;
            var phase = (fromS + i * StepS) / OrbitS;
            phase -= Math.Floor(phase);
            c += StepS / 1500 * ((phase < 0.37 ? 12.0 : 25.0) - c);
        }
        return result;
    }

    public double TrueShift(string view, double t) => (view == "F" ? 1 : -0.8) * TrueShiftSlope * (BenchC(t) - 15) + 0.03
        + ShiftWanderSamples * (Math.Sin(2 * Math.PI * t / (2.3 * OrbitS) + 1) + 0.3 * Math.Sin(2 * Math.PI * t / (0.4 * OrbitS))) + (t > 2000 ? ShiftStepSamples : 0);

    private static double BenchC(double t) => 15 + 2 * Math.Sin(2 * Math.PI * t / OrbitS - 0.6);

    public OrbitInput Make(int seed)
    {
        var random = new Random(seed);
        double Gauss(double sigma) => sigma * MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1);
        const double From = -2 * OrbitS - 40000;
        const double To = 3 * OrbitS + 100;
        var air = Temperatures(From, To);
        var lag = new double[air.Length];
        lag[0] = air[0];
        for (var i = 1; i < air.Length; i++)
        {
            // Midpoint rule on τ·dy/dt = x − y.
            var half = lag[i - 1] + StepS / 2 * (air[i - 1] - lag[i - 1]) / LagS;
            lag[i] = lag[i - 1] + StepS * (0.5 * (air[i - 1] + air[i]) - half) / LagS;
        }
        double TrueDrift(double t) => RadPerK * (lag[(int)Math.Round((t - From) / StepS)] - 20);

        var views = Views ? new[] { "F", "A" } : ["F"];
        List<FringeResult> all = [];
        for (var t = -2 * OrbitS + 30; t < 3 * OrbitS; t += 60)
        {
            var exposure = (long)Math.Floor(t / 60) + 1000;
            foreach (var view in views)
            {
                var drift = TrueDrift(t) + 0.4 + AgeingRad * t / OrbitS + (view == "A" ? SecondViewExtraRad : 0);
                var s = TrueShift(view, t);
                var measured = Fiducials ? s + Gauss(ShiftSigmaSamples) : double.NaN;
                all.Add(Result(exposure, ExposureKind.Scene, view, t, _ => drift - 2 * Math.PI * Green.Cycles * s / 256 - Green.KappaAtMeanRadPerMs * WindMs + Gauss(0.01), 0.01, measured));
            }
            if (!Lamps || exposure % 8 != 0) continue;
            foreach (var view in views)
            {
                var drift = TrueDrift(t + 20) + 0.4 + AgeingRad * (t + 20) / OrbitS + (view == "A" ? SecondViewExtraRad : 0);
                var s = TrueShift(view, t + 20);
                var measured = Fiducials ? s + Gauss(ShiftSigmaSamples) : double.NaN;
                all.Add(Result(exposure + 100000, ExposureKind.Lamp, view, t + 20, _ => 0.3 + drift / 0.9987 - 2 * Math.PI * Green.LampCycles * s / 256 + Gauss(LampSigmaRad), LampSigmaRad, measured));
            }
        }
        var own = all.Where(f => f.Time >= Start && f.Time < Start.AddSeconds(OrbitS)).ToList();
        var others = all.Except(own).ToList();
        return new OrbitInput
        {
            Orbit = 100,
            Start = Start,
            End = Start.AddSeconds(OrbitS),
            Complete = true,
            NeighboursComplete = true,
            Instrument = new InstrumentModel
            {
                Name = "TERN",
                Rows = Rows,
                Samples = 256,
                ReadNoiseElectrons = 8,
                SaturationCounts = 60000,
                RowDepressionDeg = [.. Enumerable.Range(0, Rows).Select(r => 21.6 - 0.24 * r)],
                Views = [.. views.Select((v, i) => new ViewModel(v, 45 + 90 * i))],
                Lines = [Green],
            },
            Coefficients = Set(views),
            Fringes = own,
            NeighbourLamps = [.. others.Where(f => f.Kind == ExposureKind.Lamp)],
            NeighbourShifts = [.. others.Where(f => double.IsFinite(f.ImageShiftSamples)).Select(f => new ImageShiftMeasurement(f.Time, f.View, f.ImageShiftSamples, f.ImageShiftSigmaSamples))],
            InterferometerC = Sampled(From, To, 10, t => air[(int)Math.Round((t - From) / StepS)]),
            BenchC = Bench ? Sampled(-3 * OrbitS, To, 20, BenchC) : TemperatureSeries.Empty,
        };
    }

    private CoefficientSet Set(string[] views) => new()
    {
        Name = "ground",
        ValidFrom = Start.AddSeconds(-1e6),
        Dark = new(120, 2, -20, 6.5),
        Optics = [.. views.Select(v => new OpticsCoefficients
        {
            View = v, Line = "green", DistortionRad = [[0.0]], ZeroWindRad = new double[Rows], Visibility = 0.65, LampRatio = 0.9987, LampPhaseRad = 0.3,
            LampElectrons = 4000, LampVisibility = 0.65, Thermal = new(ApprovedRadPerK, ApprovedLagS, 20),
        })],
        ImageShift = [.. views.Select(v => new ImageShiftLaw(v, v == "F" ? 0.05 : -0.04, 15, 0))],
    };

    private TemperatureSeries Sampled(double from, double to, double stepS, Func<double, double> value) =>
        TemperatureSeries.FromUnordered(Enumerable.Range(0, (int)((to - from) / stepS)).Select(i => from + i * stepS)
            .Where(t => TemperatureGap is not { } gap || t < gap.FromS || t > gap.ToS).Select(t => (Start.AddSeconds(t), value(t))));

    private FringeResult Result(long exposure, ExposureKind kind, string view, double t, Func<int, double> phase, double sigma, double shift)
    {
        double[] Fill(double value) => [.. Enumerable.Repeat(value, Rows)];
        return new()
        {
            Exposure = exposure,
            Kind = kind,
            View = view,
            Line = "green",
            Time = Start.AddSeconds(t),
            IntegrationS = 20,
            Status = new RowStatus[Rows],
            PhaseRad = [.. Enumerable.Range(0, Rows).Select(r => Math.IEEERemainder(phase(r), 2 * Math.PI))],
            PhaseSigmaRad = Fill(sigma),
            Visibility = Fill(0.62),
            VisibilitySigma = Fill(0.003),
            SignalElectrons = Fill(3900),
            SignalSigmaElectrons = Fill(5),
            ChiSquare = Fill(1),
            MaskedSamples = new int[Rows],
            SpikeSamples = [.. Enumerable.Range(0, Rows).Select(r => r == 2 ? 1 : 0)],
            SaturatedSamples = new int[Rows],
            VelocityRemovedMs = new double[Rows],
            ImageShiftSamples = shift,
            ImageShiftSigmaSamples = double.IsNaN(shift) ? double.NaN : ShiftSigmaSamples,
            DetectorC = -20,
            FrequencyOffsetPpm = kind == ExposureKind.Lamp ? 3 : double.NaN,
            FrequencyOffsetSigmaPpm = kind == ExposureKind.Lamp ? 1 : double.NaN,
        };
    }
}
