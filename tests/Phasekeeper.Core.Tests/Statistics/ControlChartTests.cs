using System.Globalization;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Statistics;

public sealed class ControlChartTests
{
    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    /// <summary>NIST/SEMATECH e-Handbook 6.3.2.4, doi 10.18434/M32189.</summary>
    [Fact]
    public void The_handbooks_ewma_example_is_reproduced()
    {
        var rows = ReferenceFiles.ReadCsv("spc_ewma_handbook.csv").Skip(1).ToList();
        var ewma = new Ewma(50, 0.3);
        var z = ewma.Run([.. rows.Select(r => Number(r["observation"]))]);
        Assert.Equal(20, rows.Count);
        for (var i = 0; i < rows.Count; i++)
        {
            Assert.Equal(Number(rows[i]["ewma"]), z[i], 1e-9);
            Assert.Equal(Number(rows[i]["ewma_printed_2dp"]), z[i], 0.00501);
            Assert.Equal(Number(rows[i]["ucl_exact_at_t"]), 50 + ewma.HalfWidth(2.0539, 3, i + 1), 1e-8);
        }
        Assert.Equal(52.5884, 50 + ewma.HalfWidth(2.0539, 3), 0.001); // printed with √(λ/(2−λ)) cut to 0.4201
    }

    /// <summary>NIST/SEMATECH e-Handbook 6.3.2.3.</summary>
    [Fact]
    public void The_handbooks_cusum_example_is_reproduced()
    {
        var rows = ReferenceFiles.ReadCsv("spc_cusum_handbook.csv");
        var sums = new Cusum(325, 0.3175).Run([.. rows.Select(r => Number(r["mean"]))]);
        for (var i = 0; i < rows.Count; i++)
        {
            Assert.Equal(Number(rows[i]["s_hi"]), sums[i].High, 1e-9);
            Assert.Equal(Number(rows[i]["s_lo"]), sums[i].Low, 1e-9);
            Assert.Equal(rows[i]["signal_h_4.1959_k_0.3175"] == "1", Math.Max(sums[i].High, sums[i].Low) > 4.1959);
        }
    }

    /// <summary>Montgomery's table (CUSUM) and Lucas and Saccucci 1990 (EWMA), computed anew: tests/reference/README.md.</summary>
    [Fact]
    public void Average_run_lengths_agree_with_the_tables()
    {
        foreach (var row in ReferenceFiles.ReadCsv("spc_run_lengths.csv"))
        {
            double limit = Number(row["h_or_L"]), weight = Number(row["k_or_lambda"]), shift = Number(row["shift_in_sigma"]);
            var length = row["chart"].StartsWith("cusum", StringComparison.Ordinal) ? RunLength.Cusum(limit, weight, shift) : RunLength.Ewma(weight, limit, shift);
            var expected = Number(row["average_run_length"]);
            Assert.True(Math.Abs(length / expected - 1) < 1e-3, $"{row["chart"]} {limit} {weight} shift {shift}: {length} against {expected}");
        }
    }

    [Fact]
    public void The_default_design_allows_one_false_signal_a_month_over_all_charts()
    {
        var design = ChartDesign.Default;
        // 2 × 60 × 450 values between false signals; limits are rounded up to hundredths, so a little more.
        Assert.InRange(design.ExpectedFalsePerMonth, 0.95, 1.0);
        Assert.InRange(RunLength.Ewma(design.Lambda, design.EwmaLimit), 54_000, 56_500);
        Assert.InRange(RunLength.Cusum(design.CusumH, design.CusumK), 54_000, 56_500);
        // A shift of two sigma is still found within a few orbits.
        Assert.True(RunLength.Cusum(design.CusumH, design.CusumK, 2) < 8);
    }

    /// <summary>Simulated AR(1) values with limits designed for 1 in 400: the number of signals may not exceed the design by more than chance.</summary>
    [Theory]
    [InlineData(0.0)]
    [InlineData(0.3)]
    [InlineData(0.6)]
    public void False_signals_stay_within_the_design_with_autocorrelation(double r)
    {
        var design = ChartDesign.Design(charts: 1, valuesPerMonth: 400, falsePerMonth: 1);
        var random = new Random(20310);
        var (ewma, cusum) = (new Ewma(0, design.Lambda), new Cusum(0, design.CusumK));
        var (half, run) = (design.EwmaLimit * design.EwmaSigma(r), ChartDesign.RunFactor(r));
        const int Values = 400_000;
        int ewmaSignals = 0, cusumSignals = 0;
        double x = 0, z = 0;
        (double, double) s = (0, 0);
        for (var i = 0; i < Values; i++)
        {
            x = r * x + Math.Sqrt(1 - r * r) * MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1);
            z = ewma.Next(z, x);
            s = cusum.Next(s, x / run);
            if (Math.Abs(z) > half)
            {
                ewmaSignals++;
                z = 0;
            }
            if (Math.Max(s.Item1, s.Item2) > design.CusumH)
            {
                cusumSignals++;
                s = (0, 0);
            }
        }
        // 500 of each are designed; 4 Poisson sigma above.
        Assert.True(ewmaSignals < 590, $"{ewmaSignals} EWMA signals");
        Assert.True(cusumSignals < 590, $"{cusumSignals} CUSUM signals");
        if (r == 0) Assert.True(ewmaSignals > 400 && cusumSignals > 400, $"{ewmaSignals} and {cusumSignals} signals: the limits are too wide");
    }
}
