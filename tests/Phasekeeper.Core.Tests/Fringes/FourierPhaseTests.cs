using System.Globalization;
using System.Numerics;
using MathNet.Numerics.IntegralTransforms;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>Source of all checks: tests/reference/fringes_*.csv, made by make/fringes.py (scipy.fft, and by sums written out).</summary>
public sealed class FourierPhaseTests
{
    private const double SameSteps = 1e-8;
    private const double BiasWithoutNoise = 2e-5;
    private const double Scatters = 4;

    public static TheoryData<int> All()
    {
        var cases = new TheoryData<int>();
        for (var i = 0; i < 20; i++) cases.Add(i);
        return cases;
    }

    private static ReferenceInterferogram Case(int index) => new(ReferenceFiles.ReadCsv("fringes_results.csv")[index]);

    [Theory]
    [MemberData(nameof(All))]
    public void Fourier_route_gives_the_reference_phase(int index)
    {
        var reference = Case(index);
        var route = new FourierPhase(centreBin: 52, halfWidth: 16, from: 40, to: 280);
        var phase = route.Difference(route.Analytic(reference.Counts, reference.Flat), route.Analytic(reference.Reference, reference.Flat));
        Assert.Equal(reference.Number("retrieved_phase_rad"), phase, SameSteps);
    }

    [Theory]
    [MemberData(nameof(All))]
    public void Fit_of_the_same_interferogram_gives_the_true_phase(int index)
    {
        var reference = Case(index);
        // Counts without noise are not whole: 30 of them a count keep the rounding below 2e-6 rad.
        var scale = reference.Noisy ? 1 : 30;
        var result = Fit(reference, scale);
        Assert.Equal(RowStatus.Ok, result.Status[0]);
        // The fit's phase is of the whole fringe at the middle, i_c = 159.5.
        var start = 2 * Math.PI * ReferenceInterferogram.Cycles * 159.5 / ReferenceInterferogram.Samples + ReferenceInterferogram.StartPhaseRad;
        var error = FringeFixtures.Wrap(result.PhaseRad[0] - start - reference.Number("true_phase_rad"));
        var tolerance = reference.Noisy ? Scatters * reference.Number("scatter_of_method_rad") : BiasWithoutNoise;
        Assert.InRange(error, -tolerance, tolerance);
        if (reference.Noisy) Assert.Equal(1, result.PhaseSigmaRad[0] / reference.Number("cramer_rao_with_amplitude_offset_rad"), 0.06);
    }

    // Source: tests/reference/fft_vectors.csv (scipy.fft and direct sums).
    [Fact]
    public void Transform_agrees_with_the_reference_vectors_for_all_lengths()
    {
        foreach (var group in ReferenceFiles.ReadCsv("fft_vectors.csv").GroupBy(r => int.Parse(r["length"], CultureInfo.InvariantCulture)))
        {
            var z = group.Select(r => new Complex(double.Parse(r["input_real"], CultureInfo.InvariantCulture), 0)).ToArray();
            Fourier.Forward(z, FourierOptions.AsymmetricScaling);
            foreach (var (r, k) in group.Select((r, k) => (r, k)))
            {
                Assert.Equal(double.Parse(r["fft_real"], CultureInfo.InvariantCulture), z[k].Real, 1e-12 * group.Key);
                Assert.Equal(double.Parse(r["fft_imag"], CultureInfo.InvariantCulture), z[k].Imaginary, 1e-12 * group.Key);
            }
        }
    }

    private static FringeResult Fit(ReferenceInterferogram reference, int scale)
    {
        var instrument = new InstrumentModel
        {
            Name = "reference",
            Rows = 1,
            Samples = ReferenceInterferogram.Samples,
            ReadNoiseElectrons = 0,
            SaturationCounts = 65536,
            RowDepressionDeg = [20],
            Views = [new ViewModel("v", 45)],
            Lines =
            [
                new LineModel
                {
                    Id = "l", WavelengthVacuumNm = 1e9 / reference.WavenumberPerM, Cycles = ReferenceInterferogram.Cycles, OpdMm = ReferenceInterferogram.OpdMm,
                    OpdStepUm = ReferenceInterferogram.OpdStepUm, LampWavelengthVacuumNm = 600, LampCycles = 50,
                },
            ],
        };
        var optics = new OpticsCoefficients
        {
            View = "v",
            Line = "l",
            Flat = [reference.Flat],
            DistortionRad = [[0.0]],
            ZeroWindRad = [0],
            Visibility = reference.Visibility,
            EnvelopeM1 = reference.EnvelopeSeries.M1,
            EnvelopeM2 = reference.EnvelopeSeries.M2,
            Thermal = new ThermalLaw(0, 1, 0),
            LampRatio = 1,
            LampPhaseRad = 0,
            LampElectrons = 1,
            LampVisibility = 1,
        };
        var set = new CoefficientSet { Name = "reference", ValidFrom = Instant.MinValue, Dark = new DarkLaw(0, 0, 0, 0), Optics = [optics], ImageShift = [] };
        var frame = new FringeFrame
        {
            Exposure = 1,
            Kind = ExposureKind.Scene,
            View = "v",
            Line = "l",
            Time = Instant.FromUtc(2031, 1, 1),
            IntegrationS = 1,
            Rows = [[.. reference.Counts.Select(c => (ushort)Math.Round(c * scale))]],
        };
        return new FringeRetrieval(instrument, set, "v", "l").Retrieve(frame, double.NaN, [0.0], 0);
    }
}
