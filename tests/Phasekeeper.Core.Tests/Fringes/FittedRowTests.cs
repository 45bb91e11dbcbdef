using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Core.Tests.Fringes;

public sealed class FittedRowTests
{
    private const int Rows = 6;
    private static readonly double[] Still = new double[Rows];

    private static (FringeFrame Frame, double[] Notch) Frame(ulong seed, ExposureKind kind = ExposureKind.Scene)
    {
        var simulator = new FringeSimulator(FringeFixtures.Instrument(rows: Rows), FringeFixtures.Coefficients(Rows), "F", "green", new NoiseSource(seed));
        var (envelope, notch) = (simulator.Envelope(), simulator.Notch(0.2));
        var frame = simulator.Frame(kind, [.. Enumerable.Range(0, Rows).Select(r => simulator.Row(r, simulator.Transmission(r, notch), envelope,
            [.. simulator.Pattern(r, kind == ExposureKind.Lamp, 0).Select(p => p + 0.7)], 4000, 0.65, FringeFixtures.DarkElectrons))], FringeFixtures.IntegrationS);
        return (frame, notch);
    }

    private static FringeRetrieval Retrieval() => new(FringeFixtures.Instrument(rows: Rows), FringeFixtures.Coefficients(Rows), "F", "green");

    [Theory]
    [InlineData(ExposureKind.Scene)]
    [InlineData(ExposureKind.Lamp)]
    public void The_model_follows_the_counts_within_their_noise(ExposureKind kind)
    {
        var residuals = new List<double>();
        for (var seed = 1UL; seed <= 10; seed++)
        {
            var (frame, _) = Frame(seed, kind);
            for (var row = 0; row < Rows; row++)
            {
                var fitted = Retrieval().Fitted(frame, FringeFixtures.DetectorC, kind == ExposureKind.Scene ? Still : [], 0.15, row)!;
                Assert.Equal(RowStatus.Ok, fitted.Status);
                Assert.All(fitted.Used, Assert.True);
                residuals.AddRange(fitted.Residuals());
            }
        }
        // 15,360 residuals less about 5 parameters a row: rms 0.99, known to 0.6 %.
        Assert.InRange(Math.Sqrt(residuals.Average(r => r * r)), 0.97, 1.01);
        Assert.InRange(residuals.Average(), -0.03, 0.03);
    }

    [Fact]
    public void A_sample_hit_by_a_particle_is_left_out_and_stands_out()
    {
        var (frame, _) = Frame(3);
        frame.Rows[2]![100] += 3000;
        var fitted = Retrieval().Fitted(frame, FringeFixtures.DetectorC, Still, 0.15, 2)!;
        Assert.False(fitted.Used[100]);
        Assert.Equal(1, fitted.Used.Count(u => !u));
        Assert.InRange(fitted.Counts[100] - fitted.ModelCounts[100], 2700, 3300);
        Assert.True(fitted.Residuals()[100] > 30);
    }

    [Fact]
    public void A_missing_row_has_no_fit_and_a_row_without_motion_no_model()
    {
        var (frame, _) = Frame(4);
        frame.Rows[1] = null;
        double[] motion = [0, 0, double.NaN, 0, 0, 0];
        Assert.Null(Retrieval().Fitted(frame, FringeFixtures.DetectorC, motion, 0.15, 1));
        var blind = Retrieval().Fitted(frame, FringeFixtures.DetectorC, motion, 0.15, 2)!;
        Assert.Equal(RowStatus.NoMotion, blind.Status);
        Assert.All(blind.ModelCounts, m => Assert.True(double.IsNaN(m)));
        Assert.Throws<ArgumentOutOfRangeException>(() => Retrieval().Fitted(frame, FringeFixtures.DetectorC, motion, 0.15, Rows));
    }
}
