using Phasekeeper.Core.Instrument;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>
/// TERN, the interferometer of Kittiwake, as built: dimensions and the truth of its optics. Rows are binned on board, finely in the
/// lower thermosphere where winds turn with height and coarsely above it.
/// </summary>
public sealed partial class Tern
{
    /// <summary>Electrons per count.</summary>
    public const double ElectronsPerCount = 2.0;
    /// <summary>Read noise, electrons rms.</summary>
    public const double ReadNoiseElectrons = 8.0;
    /// <summary>Bias, counts.</summary>
    public const double BiasCounts = 120.0;
    /// <summary>Dark rate at the reference temperature at the scenario's start, electrons/s a sample.</summary>
    public const double DarkElectronsPerS = 2.0;
    /// <summary>Growth of the dark rate, fraction a day.</summary>
    public const double DarkGrowthPerDay = 0.002;
    /// <summary>Reference temperature of the dark law, °C.</summary>
    public const double DarkReferenceC = -20.0;
    /// <summary>Doubling of the dark rate, K.</summary>
    public const double DarkDoublingK = 6.5;
    /// <summary>Interferometer temperature at which the drift is zero, °C.</summary>
    public const double ThermalReferenceC = 20.0;
    /// <summary>Bench temperature at which the image shift is zero, °C.</summary>
    public const double BenchReferenceC = 15.0;
    /// <summary>White signal of a flat exposure, electrons a sample and second.</summary>
    public const double FlatElectronsPerS = 9000;

    /// <summary>Image shift per kelvin of the bench, samples/K, of the fore and aft view.</summary>
    public static readonly double[] ShiftPerK = [0.046, -0.038];

    /// <summary>The instrument as the profile tells it.</summary>
    public InstrumentModel Model { get; }
    /// <summary>The optics of both views and lines.</summary>
    public OpticsTruth[] Optics { get; }

    /// <summary>Instrument with the small imperfections of a seed.</summary>
    public Tern(ulong seed)
    {
        // 6371.6 km is the mean radius under an orbit of 50° inclination.
        var orbitRadiusKm = (EarthModel.EquatorialRadiusM + CircularOrbit.HeightM) / 1000;
        Model = new InstrumentModel
        {
            Name = "TERN",
            Rows = Rows,
            Samples = Samples,
            ElectronsPerCount = ElectronsPerCount,
            ReadNoiseElectrons = ReadNoiseElectrons,
            SaturationCounts = 60000,
            RowDepressionDeg = TangentKm.Select(h => Math.Round(Math.Acos((6371.6 + h) / orbitRadiusKm) * 180 / Math.PI, 4)).ToArray(),
            Views = [new ViewModel("F", 45), new ViewModel("A", 135)],
            Lines =
            [
                LineOf("green", 557.8887, GreenCycles, 557.18),
                LineOf("red", 630.2047, RedCycles, 630.652),
            ],
            Fiducials = [new Fiducial(10, 0.5, 1.6), new Fiducial(Samples - 11, 0.5, 1.6)],
        };
        Optics = Enumerable.Range(0, 4).Select(i => Make(seed, i)).ToArray();
    }

    /// <summary>Notch transmission q_i(s) along a row at an image shift.</summary>
    public void FiducialTransmission(double shiftSamples, Span<double> q)
    {
        q.Fill(1);
        foreach (var f in Model.Fiducials)
        {
            var centre = f.Sample + shiftSamples;
            var reach = 8 * f.WidthSamples;
            for (var i = Math.Max(0, (int)(centre - reach)); i <= Math.Min(q.Length - 1, (int)(centre + reach)); i++)
                q[i] *= 1 - f.Depth * Math.Exp(-0.5 * (i - centre) * (i - centre) / (f.WidthSamples * f.WidthSamples));
        }
    }

    private static LineModel LineOf(string id, double wavelengthNm, double cycles, double lampNm)
    {
        return new LineModel
        {
            Id = id,
            WavelengthVacuumNm = wavelengthNm,
            Cycles = cycles,
            OpdMm = 48.5,
            OpdStepUm = OpdStepUm,
            LampWavelengthVacuumNm = lampNm,
            LampCycles = Math.Round(cycles + (1e9 / lampNm - 1e9 / wavelengthNm) * Samples * OpdStepUm * 1e-6, 6),
        };
    }

    private OpticsTruth Make(ulong seed, int index)
    {
        int view = index / 2, line = index % 2;
        var model = Model.Lines[line];
        var random = new HashRandom(seed, 0x0971C5, (ulong)index);
        var zero = new double[Rows];
        double walk = 0.3 * random.NextNormal();
        for (var r = 0; r < Rows; r++) zero[r] = Math.Round(walk += 0.06 * random.NextNormal(), 6);
        var greenSlope = view == 0 ? 0.712 : 0.668;
        var hot = new (int, int, double, double)[18];
        for (var h = 0; h < hot.Length; h++)
            // Three were known before the launch; then one appears every two days.
            hot[h] = (random.NextIndex(Rows), 20 + random.NextIndex(Samples - 40), h < 3 ? -30 : 2.0 * (h - 3) + 2 * random.NextUniform(), 25 + random.NextExponential(45));
        return new OpticsTruth
        {
            View = Model.Views[view],
            Line = model,
            Index = index,
            Flat = OpticsTruth.MakeFlat(seed, index),
            DistortionRad =
            [
                [0, Math.Round(0.08 + 0.02 * random.NextNormal(), 5)],
                [Math.Round(0.1 * random.NextNormal(), 5), 0.05],
                [Math.Round(0.22 + 0.05 * random.NextNormal(), 5)],
            ],
            ZeroWindRad = zero,
            Visibility = Math.Round((line == 0 ? 0.66 : 0.62) + 0.012 * random.NextNormal(), 4),
            LampVisibility = Math.Round(0.7 + 0.01 * random.NextNormal(), 4),
            Envelope = (0.02, -0.08),
            RadPerK = greenSlope * (line == 0 ? 1 : Model.Lines[0].WavelengthVacuumNm / model.WavelengthVacuumNm),
            LampRatio = Math.Round(model.LampWavelengthVacuumNm / model.WavelengthVacuumNm, 9),
            LampPhaseRad = Math.Round(2 * random.NextUniform() - 1, 5),
            LampElectrons = Math.Round(4000 + 250 * random.NextNormal()),
            AgeingRadPerDay = view == 0 ? 0.00042 : 0.00031,
            GradientRad = (view == 0 ? 0.11 : 0.08) * (line == 0 ? 1 : 0.885),
            Gain = line == 0 ? 2.1e-3 : 2.0e-3,
            HotSamples = hot,
        }.WithPatterns();
    }
}
