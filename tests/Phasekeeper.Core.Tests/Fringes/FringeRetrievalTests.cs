using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Core.Tests.Fringes;

public sealed class FringeRetrievalTests
{
    private const int Rows = 12;
    private static readonly double[] Still = new double[Rows];

    private static FringeSimulator Simulator(ulong seed, CoefficientSet? set = null) =>
        new(FringeFixtures.Instrument(rows: Rows), set ?? FringeFixtures.Coefficients(Rows), "F", "green", new NoiseSource(seed));

    private static FringeRetrieval Retrieval(CoefficientSet? set = null) =>
        new(FringeFixtures.Instrument(rows: Rows), set ?? FringeFixtures.Coefficients(Rows), "F", "green");

    private static FringeFrame Frame(
        FringeSimulator simulator, ExposureKind kind, double signal, double visibility, double phaseRad = 0.7, double shift = 0.2, double frequencyPpm = 0, double dark = FringeFixtures.DarkElectrons)
    {
        var envelope = simulator.Envelope();
        var notch = simulator.Notch(shift);
        return simulator.Frame(kind, [.. Enumerable.Range(0, Rows).Select(r => simulator.Row(r, simulator.Transmission(r, notch), envelope,
            [.. simulator.Pattern(r, kind == ExposureKind.Lamp, frequencyPpm).Select(p => p + phaseRad)], signal, visibility, dark))], FringeFixtures.IntegrationS);
    }

    [Fact]
    public void Lamp_gives_phase_frequency_offset_and_image_shift()
    {
        var frequency = new List<double>();
        for (var seed = 1UL; seed <= 20; seed++)
        {
            var result = Retrieval().Retrieve(Frame(Simulator(seed), ExposureKind.Lamp, 4000, 0.65, 0.7, 0.2, frequencyPpm: 40), FringeFixtures.DetectorC, [], 0.15);
            Assert.All(result.PhaseRad.Zip(result.PhaseSigmaRad), p => Assert.InRange((p.First - 0.7) / p.Second, -5, 5));
            Assert.InRange((result.ImageShiftSamples - 0.2) / result.ImageShiftSigmaSamples, -4.5, 4.5);
            frequency.Add((result.FrequencyOffsetPpm - 40) / result.FrequencyOffsetSigmaPpm);
        }
        Assert.InRange(Math.Sqrt(frequency.Average(f => f * f)), 0.5, 1.6);
        Assert.InRange(frequency.Average(), -0.8, 0.8);
    }

    [Fact]
    public void Weak_rows_keep_an_honest_uncertainty()
    {
        // 20 e⁻ a sample against 14 e⁻ of noise: fringes of six times their noise. 2,400 rows: rms known to 1.5 %.
        var pulls = new List<double>();
        var rows = 0;
        for (var seed = 1UL; seed <= 200; seed++)
        {
            var result = Retrieval().Retrieve(Frame(Simulator(seed), ExposureKind.Scene, 20, 0.65), FringeFixtures.DetectorC, Still, 0.2);
            for (var r = 0; r < Rows; r++)
            {
                rows++;
                if (result.Status[r] == RowStatus.Ok) pulls.Add(FringeFixtures.Wrap(result.PhaseRad[r] - 0.7) / result.PhaseSigmaRad[r]);
            }
        }
        Assert.True(pulls.Count > 0.99 * rows, $"{pulls.Count} of {rows} rows.");
        Assert.InRange(Math.Sqrt(pulls.Average(p => p * p)), 0.95, 1.05);
        Assert.InRange(pulls.Average(), -0.08, 0.08);
    }

    [Fact]
    public void Rows_without_light_missing_rows_and_rows_without_motion_have_a_reason_and_no_numbers()
    {
        var frame = Frame(Simulator(3), ExposureKind.Scene, 0, 0);
        frame.Rows[4] = null;
        var motion = new double[Rows];
        motion[5] = double.NaN;
        var result = Retrieval().Retrieve(frame, FringeFixtures.DetectorC, motion, 0);
        Assert.Equal(RowStatus.Missing, result.Status[4]);
        Assert.Equal(RowStatus.NoMotion, result.Status[5]);
        Assert.True(result.Status.Count(s => s == RowStatus.NoFringe) >= Rows - 4, string.Join(' ', result.Status));
        Assert.True(double.IsNaN(result.ImageShiftSamples));
        for (var r = 0; r < Rows; r++)
            if (result.Status[r] != RowStatus.Ok)
                Assert.All(new[] { result.PhaseRad[r], result.PhaseSigmaRad[r], result.Visibility[r], result.SignalElectrons[r], result.ChiSquare[r] }, v => Assert.True(double.IsNaN(v)));
    }

    [Fact]
    public void Black_and_fully_saturated_rows_are_typed_failures()
    {
        var frame = Frame(Simulator(3), ExposureKind.Scene, 3000, 0.6);
        frame.Rows[0] = [.. Enumerable.Repeat((ushort)65535, FringeFixtures.Samples)];
        frame.Rows[1] = new ushort[FringeFixtures.Samples];
        var result = Retrieval().Retrieve(frame, FringeFixtures.DetectorC, Still, 0.2);
        Assert.Equal(RowStatus.TooFewSamples, result.Status[0]);
        Assert.Equal(FringeFixtures.Samples, result.SaturatedSamples[0]);
        Assert.NotEqual(RowStatus.Ok, result.Status[1]);
        Assert.Equal(RowStatus.Ok, result.Status[2]);
    }

    [Fact]
    public void Image_shift_is_found_two_samples_away_from_the_prediction()
    {
        var result = Retrieval().Retrieve(Frame(Simulator(5), ExposureKind.Scene, 5000, 0.65, shift: 2.2), FringeFixtures.DetectorC, Still, 0.1);
        Assert.InRange((result.ImageShiftSamples - 2.2) / result.ImageShiftSigmaSamples, -4.5, 4.5);
        Assert.InRange(result.ImageShiftSigmaSamples, 0.001, 0.02);
    }

    [Fact]
    public void Bad_samples_of_the_set_are_masked_and_counted()
    {
        var set = FringeFixtures.Coefficients(Rows) with { BadSamples = [new BadSample("F", "green", 2, 100), new BadSample("A", "green", 3, 100)] };
        var frame = Frame(Simulator(6, set), ExposureKind.Scene, 3000, 0.6);
        frame.Rows[2]![100] = 50000;
        var result = Retrieval(set).Retrieve(frame, FringeFixtures.DetectorC, Still, 0.2);
        Assert.Equal(1, result.MaskedSamples[2]);
        Assert.Equal(0, result.SpikeSamples[2]);
        Assert.Equal(0, result.MaskedSamples[3]);
        frame.Rows[3]![100] = 50000;
        Assert.Equal(1, Retrieval(set).Retrieve(frame, FringeFixtures.DetectorC, Still, 0.2).SpikeSamples[3]);
    }

    [Fact]
    public void Dark_exposure_gives_the_rate_and_the_hot_samples()
    {
        var frame = Frame(Simulator(8), ExposureKind.Dark, 0, 0);
        frame.Rows[7]![31] += 100; // 200 electrons on 60
        var result = Retrieval().Retrieve(frame, FringeFixtures.DetectorC, [], 0);
        Assert.InRange((result.DarkRateElectronsPerS - 2) / result.DarkRateSigmaElectronsPerS, -4.5, 4.5);
        Assert.Equal([7 * FringeFixtures.Samples + 31], result.HotSamples);
        Assert.All(result.Status, s => Assert.Equal(RowStatus.Ok, s));
        Assert.All(result.PhaseRad, p => Assert.True(double.IsNaN(p)));
    }

    [Fact]
    public void Flat_exposure_gives_the_signal_and_the_image_shift()
    {
        var result = Retrieval().Retrieve(Frame(Simulator(9), ExposureKind.Flat, 8000, 0), FringeFixtures.DetectorC, [], 0.1);
        Assert.All(result.SignalElectrons.Zip(result.SignalSigmaElectrons), p => Assert.InRange((p.First - 8000) / p.Second, -4.5, 4.5));
        Assert.InRange((result.ImageShiftSamples - 0.2) / result.ImageShiftSigmaSamples, -4.5, 4.5);
        Assert.InRange(result.ChiSquare.Average(), 0.93, 1.07);
        Assert.All(result.PhaseRad, p => Assert.True(double.IsNaN(p)));
    }

    [Fact]
    public void Same_frame_gives_the_same_bits_from_many_threads()
    {
        var retrieval = Retrieval();
        var simulator = Simulator(10);
        var frames = Enumerable.Range(0, 16).Select(_ => Frame(simulator, ExposureKind.Scene, 2000, 0.6)).ToArray();
        var one = frames.Select(f => retrieval.Retrieve(f, FringeFixtures.DetectorC, Still, 0.2)).ToArray();
        var many = frames.AsParallel().AsOrdered().WithDegreeOfParallelism(4).Select(f => retrieval.Retrieve(f, FringeFixtures.DetectorC, new double[Rows], 0.2)).ToArray();
        foreach (var (a, b) in one.Zip(many))
        {
            Assert.Equal(a.PhaseRad.Select(BitConverter.DoubleToInt64Bits), b.PhaseRad.Select(BitConverter.DoubleToInt64Bits));
            Assert.Equal(BitConverter.DoubleToInt64Bits(a.ImageShiftSamples), BitConverter.DoubleToInt64Bits(b.ImageShiftSamples));
        }
    }

    [Fact]
    public void Frames_of_another_view_or_size_are_refused_with_what_was_expected()
    {
        var frame = Frame(Simulator(3), ExposureKind.Scene, 3000, 0.6);
        var message = Assert.Throws<ArgumentException>(() => Retrieval().Retrieve(frame with { View = "A" }, 0, Still, 0)).Message;
        Assert.Contains("view 'A', line 'green'; this retrieval is prepared for 'F', 'green'", message);
        frame.Rows[1] = new ushort[10];
        Assert.Contains("row 1: 10 samples, expected 256", Assert.Throws<ArgumentException>(() => Retrieval().Retrieve(frame, 0, Still, 0)).Message);
        Assert.Contains("has no optics for view 'Z'", Assert.Throws<ArgumentException>(() =>
            new FringeRetrieval(FringeFixtures.Instrument(rows: Rows), FringeFixtures.Coefficients(Rows), "Z", "green")).Message);
    }
}
