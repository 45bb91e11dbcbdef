using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>An instrument and its coefficients for tests: numbers of the contract's example, with flat field, distortion, envelope and fiducials.</summary>
public static class FringeFixtures
{
    public const int Rows = 30;
    public const int Samples = 256;
    public const double DetectorC = -20;
    public const double IntegrationS = 30;
    /// <summary>Dark electrons a sample of an exposure: 2 e⁻/s at the reference temperature.</summary>
    public const double DarkElectrons = 2.0 * IntegrationS;

    public static InstrumentModel Instrument(double electronsPerCount = 2, int saturationCounts = 60000, bool fiducials = true, int rows = Rows, int samples = Samples) => new()
    {
        Name = "TERN",
        Rows = rows,
        Samples = samples,
        ElectronsPerCount = electronsPerCount,
        ReadNoiseElectrons = 8,
        SaturationCounts = saturationCounts,
        RowDepressionDeg = [.. Enumerable.Range(0, rows).Select(r => 21.6 - 0.2 * r)],
        Views = [new ViewModel("F", 45), new ViewModel("A", 135)],
        Lines =
        [
            new LineModel { Id = "green", WavelengthVacuumNm = 557.8887, Cycles = 57.7, OpdMm = 50, OpdStepUm = 46.875, LampWavelengthVacuumNm = 557.18, LampCycles = 85.06 },
            new LineModel { Id = "red", WavelengthVacuumNm = 630.2046, Cycles = 46.3, OpdMm = 50, OpdStepUm = 46.875, LampWavelengthVacuumNm = 630.6533, LampCycles = 32.79 },
        ],
        Fiducials = fiducials ? [new Fiducial(12, 0.5, 1.6), new Fiducial(samples - 13, 0.5, 1.6)] : [],
    };

    public static CoefficientSet Coefficients(int rows = Rows, int samples = Samples)
    {
        var random = new NoiseSource(7);
        var flat = Enumerable.Range(0, rows).Select(r => Enumerable.Range(0, samples)
            .Select(i => 1 + 0.03 * Math.Sin(0.02 * i + 0.1 * r) + 0.02 * random.Gauss()).ToArray()).ToArray();
        OpticsCoefficients Optics(string view, string line) => new()
        {
            View = view,
            Line = line,
            Flat = flat,
            DistortionRad = [[0.0, 0.1], [0.2, 0.05], [0.25]],
            ZeroWindRad = [.. Enumerable.Range(0, rows).Select(r => 0.4 * Math.Sin(0.3 * r))],
            Visibility = 0.65,
            EnvelopeM1 = 0.02,
            EnvelopeM2 = -0.08,
            Thermal = new ThermalLaw(0.71, 420, 20),
            LampRatio = 0.9987,
            LampPhaseRad = 0.3,
            LampElectrons = 4000,
            LampVisibility = 0.65,
        };
        return new CoefficientSet
        {
            Name = "test",
            ValidFrom = Instant.FromUtc(2031, 3, 1),
            Dark = new DarkLaw(120, 2, -20, 6.5),
            Optics = [Optics("F", "green"), Optics("F", "red"), Optics("A", "green"), Optics("A", "red")],
            ImageShift = [new ImageShiftLaw("F", 0.05, 15, 0), new ImageShiftLaw("A", -0.04, 15, 0)],
        };
    }

    /// <summary>Difference of two angles in (−π, π].</summary>
    public static double Wrap(double angle) => Math.IEEERemainder(angle, 2 * Math.PI);
}
