using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Tests.Coefficients.Fits;

/// <summary>
/// A window of orbits straight from the formulas of domain.md section 2 with noise added; T_lag is integrated in small steps, not by the code under test. Truth and the set that a fit begins from are apart. Deterministic by seed.
/// </summary>
internal sealed class SimulatedWindow
{
    public const double OrbitS = 5760;
    public const int Rows = 4;
    public const double LampRatio = 0.9987;
    public const double DarkRateSigma = 0.01;
    private const double StepS = 5;

    public static readonly Instant Start = Instant.FromUtc(2031, 4, 1);

    public int Orbits { get; init; } = 12;
    public double RadPerK { get; init; } = 0.71;
    public double LagS { get; init; } = 420;
    /// <summary>Lamp phase at T_ref in the middle of the window, rad.</summary>
    public double LampPhaseRad { get; init; } = 0.3;
    public double AgeingRadPerOrbit { get; init; }
    /// <summary>Scatter of the lamp's phase from orbit to orbit, rad of φ_opt.</summary>
    public double OrbitScatterRad { get; init; } = 0.003;
    public double LampSigmaRad { get; init; } = 0.002;
    /// <summary>Share of exposures with a gross error of phase, visibility, brightness or dark.</summary>
    public double OutlierShare { get; init; }
    /// <summary>Gross error of the fiducials of such exposures, samples.</summary>
    public double ShiftOutlier { get; init; }
    /// <summary>1 = a swing of some 6 K.</summary>
    public double Swing { get; init; } = 1;
    public double ShiftOffset { get; init; } = 0.02;
    public double ShiftPerK { get; init; } = 0.05;
    public double ShiftSigma { get; init; } = 0.004;
    public double ShiftOrbitScatter { get; init; } = 0.001;
    /// <summary>Slow wander of the image shift, samples: sines of five to nine orbits.</summary>
    public double ShiftWander { get; init; }
    public double ShiftStep { get; init; }
    public double BenchSwingK { get; init; } = 2;
    public DarkLaw Dark { get; init; } = new(120, 2, -20, 6.5);
    public double DetectorSwingK { get; init; } = 2;
    public double[] DarkIntegrationsS { get; init; } = [20];
    public double DarkOrbitScatter { get; init; } = 0.01;
    public double Visibility { get; init; } = 0.62;
    public double LampVisibility { get; init; } = 0.6;
    public double LampElectrons { get; init; } = 3900;
    public double[] ZeroWindRad { get; init; } = [0.1, 0.2, 0.3, 0.4];
    public double WindMs { get; init; } = 25;
    public IReadOnlyList<string> Views { get; init; } = ["F"];
    public CoefficientSet? From { get; init; }

    public static readonly LineModel Green = new()
    {
        Id = "green",
        WavelengthVacuumNm = 557.8887,
        Cycles = 57.70,
        OpdMm = 50,
        OpdStepUm = 46.875,
        LampWavelengthVacuumNm = 557.18,
        LampCycles = 85.06,
    };

    public InstrumentModel Instrument => new()
    {
        Name = "TERN",
        Rows = Rows,
        Samples = 256,
        ElectronsPerCount = 2,
        ReadNoiseElectrons = 8,
        SaturationCounts = 60000,
        RowDepressionDeg = [.. Enumerable.Range(0, Rows).Select(r => 21.6 - 0.24 * r)],
        Views = [.. Views.Select((v, i) => new ViewModel(v, 45 + 90 * i))],
        Lines = [Green],
    };

    /// <summary>The set that fits begin from.</summary>
    public CoefficientSet Set => From ?? (_ground ??= Ground(Views));

    private CoefficientSet? _ground;

    public static CoefficientSet Ground(IReadOnlyList<string> views) => new()
    {
        Name = "ground",
        ValidFrom = Start.AddSeconds(-1e6),
        Dark = new(120, 2, -20, 6.5),
        Optics = [.. views.Select(v => new OpticsCoefficients
        {
            View = v, Line = "green", DistortionRad = [[0.0]], ZeroWindRad = [0.1, 0.2, 0.3, 0.4], Visibility = 0.65, LampRatio = LampRatio, LampPhaseRad = 0.3,
            LampElectrons = 4000, LampVisibility = 0.65, Thermal = new(0.71, 420, 20),
        })],
        ImageShift = [.. views.Select(v => new ImageShiftLaw(v, 0.048, 15, 0))],
    };

    /// <summary>Middle of the lamp exposures, s after the start.</summary>
    public double MiddleS => 0.5 * (LampS(0) + LampS(12 * Orbits - 1));

    private static double LampS(int i) => 110 + 480 * i;

    // Cools in shadow, warms in sunlight; each orbit's sunlit equilibrium differs a little.
    private double[] Temperatures(double fromS, double toS, NoiseSource noise)
    {
        var result = new double[(int)((toS - fromS) / StepS) + 1];
        var (c, warm, orbit) = (20.0, 0.0, int.MinValue);
        for (var i = 0; i < result.Length; i++)
        {
            result[i] = 20 + Swing * (c - 20);
            var at = (fromS + i * StepS) / OrbitS;
            if ((int)Math.Floor(at) != orbit) (orbit, warm) = ((int)Math.Floor(at), 25 + 0.3 * noise.Gauss());
            c += StepS / 1500 * ((at - Math.Floor(at) < 0.37 ? 12.0 : warm) - c);
        }
        return result;
    }

    private double BenchC(double t) => 15 + BenchSwingK * Math.Sin(2 * Math.PI * t / OrbitS - 0.6);

    public double DetectorC(double t) => -20 + DetectorSwingK * Math.Sin(2 * Math.PI * t / (5.3 * OrbitS) + 0.4);

    /// <summary>The orbits, each with its two neighbours on either side.</summary>
    public IReadOnlyList<OrbitInput> Make(ulong seed)
    {
        var noise = new NoiseSource(seed);
        double from = -2 * OrbitS - 40000, to = (Orbits + 2) * OrbitS + 1300;
        var air = Temperatures(from, to, noise);
        var lag = new double[air.Length];
        lag[0] = air[0];
        for (var i = 1; i < air.Length; i++)
        {
            // Midpoint rule on τ·dy/dt = x − y.
            var half = lag[i - 1] + StepS / 2 * (air[i - 1] - lag[i - 1]) / LagS;
            lag[i] = lag[i - 1] + StepS * (0.5 * (air[i - 1] + air[i]) - half) / LagS;
        }
        var interferometer = Series(from, to, 10, t => air[(int)Math.Round((t - from) / StepS)]);
        var bench = Series(-3 * OrbitS, to, 20, BenchC);
        var set = Set;
        double[] wander = [noise.Uniform(5, 9), noise.Uniform(0, 7), noise.Uniform(5, 9), noise.Uniform(0, 7)];
        double Wander(double t) => ShiftWander * (Math.Sin(2 * Math.PI * t / (wander[0] * OrbitS) + wander[1]) + Math.Sin(2 * Math.PI * t / (wander[2] * OrbitS) + wander[3]));
        List<FringeResult> all = [];
        for (var orbit = -2; orbit < Orbits + 2; orbit++)
        {
            double lampScatter = OrbitScatterRad * noise.Gauss(), darkScatter = DarkOrbitScatter * noise.Gauss();
            foreach (var view in Views)
            {
                var shiftScatter = ShiftOrbitScatter * noise.Gauss();
                for (var i = 12 * orbit; i < 12 * (orbit + 1); i++) all.AddRange(Exposures(set, view, i, t => RadPerK * (lag[(int)Math.Round((t - from) / StepS)] - 20), lampScatter, t => shiftScatter + Wander(t), noise));
                for (var i = 0; i < 3; i++) all.Add(DarkOf(view, orbit, i, darkScatter, noise));
            }
        }
        all.Sort((a, b) => (a.Time, a.Exposure, a.View).CompareTo((b.Time, b.Exposure, b.View)));
        return [.. Enumerable.Range(0, Orbits).Select(o =>
        {
            Instant start = Start.AddSeconds(o * OrbitS), end = Start.AddSeconds((o + 1) * OrbitS);
            bool Own(FringeResult f) => f.Time >= start && f.Time < end;
            FringeResult[] near = [.. all.Where(f => !Own(f) && f.Time >= start.AddSeconds(-2 * OrbitS) && f.Time < end.AddSeconds(2 * OrbitS))];
            return new OrbitInput
            {
                Orbit = 100 + o,
                Start = start,
                End = end,
                Complete = true,
                NeighboursComplete = true,
                Instrument = Instrument,
                Coefficients = set,
                Fringes = [.. all.Where(Own)],
                NeighbourLamps = [.. near.Where(f => f.Kind == ExposureKind.Lamp)],
                NeighbourShifts = [.. near.Where(f => double.IsFinite(f.ImageShiftSamples)).Select(f => new ImageShiftMeasurement(f.Time, f.View, f.ImageShiftSamples, f.ImageShiftSigmaSamples))],
                InterferometerC = interferometer,
                BenchC = bench,
            };
        })];
    }

    private IEnumerable<FringeResult> Exposures(CoefficientSet set, string view, int i, Func<double, double> thermal, double scatter, Func<double, double> shiftMoved, NoiseSource noise)
    {
        foreach (var (kind, t) in new[] { (ExposureKind.Lamp, LampS(i)), (ExposureKind.Scene, LampS(i) + 100), (ExposureKind.Scene, LampS(i) + 220) })
        {
            var s = ShiftOffset + ShiftPerK * (BenchC(t) - 15) + shiftMoved(t) + (t > 0.6 * Orbits * OrbitS ? ShiftStep : 0);
            var drift = thermal(t) + AgeingRadPerOrbit * (t - MiddleS) / OrbitS + scatter;
            var lamp = kind == ExposureKind.Lamp;
            // Drawn in any case: with and without gross errors the noise is the same.
            var (gross, size) = (noise.Uniform() < OutlierShare, noise.Uniform(0.05, 1.5));
            var off = gross ? size : 0; // one-sided, the worst for a mean
            double Phase(int r) => off + (lamp
                ? LampPhaseRad + drift / LampRatio - 2 * Math.PI * Green.LampCycles * s / 256 + LampSigmaRad * noise.Gauss()
                // What is left of θ when the set's Z is taken out.
                : ZeroWindRad[r] - set.Optics[0].ZeroWindRad[r] + drift - 2 * Math.PI * Green.Cycles * s / 256 - Green.KappaAtMeanRadPerMs * WindMs + 0.01 * noise.Gauss());
            yield return Result(kind, view, t, Phase, lamp ? LampSigmaRad : 0.01, s + ShiftSigma * noise.Gauss() + (gross ? ShiftOutlier : 0),
                (lamp ? LampVisibility : Visibility) * (1 + 0.004 * noise.Gauss()) * (gross ? 0.5 : 1), LampElectrons * (1 + 0.002 * noise.Gauss()) * (gross ? 0.5 : 1));
        }
    }

    private FringeResult Result(ExposureKind kind, string view, double t, Func<int, double> phase, double sigma, double shift, double visibility, double electrons) => new()
    {
        Exposure = (long)t + 1_000_000,
        Kind = kind,
        View = view,
        Line = "green",
        Time = Start.AddSeconds(t),
        IntegrationS = 20,
        Status = new RowStatus[Rows],
        PhaseRad = [.. Enumerable.Range(0, Rows).Select(r => double.IsNaN(sigma) ? double.NaN : Math.IEEERemainder(phase(r), 2 * Math.PI))],
        PhaseSigmaRad = Fill(sigma),
        Visibility = Fill(visibility),
        VisibilitySigma = Fill(0.004),
        SignalElectrons = Fill(electrons),
        SignalSigmaElectrons = Fill(8),
        ChiSquare = Fill(1),
        MaskedSamples = new int[Rows],
        SpikeSamples = new int[Rows],
        SaturatedSamples = new int[Rows],
        VelocityRemovedMs = new double[Rows],
        ImageShiftSamples = shift,
        ImageShiftSigmaSamples = ShiftSigma,
        DetectorC = DetectorC(t),
    };

    private FringeResult DarkOf(string view, int orbit, int number, double scatter, NoiseSource noise)
    {
        var t = orbit * OrbitS + 1900 * number + 40;
        var seconds = DarkIntegrationsS[(3 * Math.Abs(orbit) + number) % DarkIntegrationsS.Length];
        var electrons = seconds * (Dark.RateElectronsPerS * Math.Pow(2, (DetectorC(t) - Dark.ReferenceC) / Dark.DoublingK) + scatter) + (Dark.BiasCounts - Set.Dark.BiasCounts) * 2
            + (noise.Uniform() < OutlierShare ? 30 : 0);
        var sigma = DarkRateSigma * 20;
        return Result(ExposureKind.Dark, view, t, _ => 0, double.NaN, double.NaN, double.NaN, double.NaN) with
        {
            IntegrationS = seconds,
            SignalElectrons = [.. Enumerable.Range(0, Rows).Select(_ => electrons + sigma * noise.Gauss())],
            SignalSigmaElectrons = Fill(sigma),
            // 300: always; 5: from the window's middle on, and 7 on the first orbit alone.
            HotSamples = [.. new[] { 300 }.Concat(2 * orbit >= Orbits ? [5] : []).Concat(orbit == 0 ? [7] : []).Concat(orbit != 1 ? [9] : [])],
        };
    }

    private static double[] Fill(double value) => [.. Enumerable.Repeat(value, Rows)];

    private static TemperatureSeries Series(double from, double to, double stepS, Func<double, double> value) =>
        TemperatureSeries.FromUnordered(Enumerable.Range(0, (int)((to - from) / stepS)).Select(i => from + i * stepS).Select(t => (Start.AddSeconds(t), value(t))));
}
