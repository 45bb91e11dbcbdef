using System.Globalization;
using Phasekeeper.Core.ZeroWind;
using Xunit.Abstractions;

namespace Phasekeeper.Pipeline.Tests.ZeroWind;

/// <summary>Zero wind from the demo's winds, which differ from day to day: what is claimed is within its uncertainty, and nothing is claimed before the geometry allows it.</summary>
public sealed class ZeroWindRecoveryTests(ITestOutputHelper output)
{
    private const double OffsetF = 12, OffsetA = -7;
    // A cycle of local time takes this orbit 61 days, and an hour of local time more some three.
    private const int FirstClaimDay = 65;
    private static readonly Lazy<SimulatedWinds> Green = new(() => new SimulatedWinds(66, 330, 95, 105, 116, 143));
    private static readonly Lazy<SimulatedWinds> Red = new(() => new SimulatedWinds(70, 330, 222, 256, 298));

    private static ZeroWindEstimate Solve(IReadOnlyList<OrbitWindSums> sums) => ZeroWindSolver.Solve(sums, SimulatedWinds.Views, "green");

    [Theory]
    [InlineData("green", 65, 2.0)]
    [InlineData("red", 70, 8.0)]
    public void Known_offsets_are_recovered_within_their_uncertainty_once_a_cycle_is_round(string line, int days, double largestSigma)
    {
        var winds = (line == "green" ? Green : Red).Value;
        List<double> ratios = [];
        for (ulong seed = 1; seed <= 8; seed++)
        {
            var estimate = Solve(winds.Sums(seed, days, OffsetF, OffsetA));
            Assert.True(estimate.Status == ZeroWindStatus.Claimed, string.Create(CultureInfo.InvariantCulture, $"seed {seed}: {string.Join(" ", estimate.Reasons)} ({24 / Math.Abs(estimate.LocalTimeRateHPerDay):0.0} days a cycle)"));
            Assert.Empty(estimate.Reasons);
            Assert.Null(estimate.ExpectedAt);
            Assert.All(estimate.Offsets, o => Assert.InRange(o.SigmaMs, 0.1, largestSigma));
            ratios.Add((estimate.Offsets[0].OffsetMs - OffsetF) / estimate.Offsets[0].SigmaMs);
            ratios.Add((estimate.Offsets[1].OffsetMs - OffsetA) / estimate.Offsets[1].SigmaMs);
            var difference = estimate.Offsets[0].OffsetMs - estimate.Offsets[1].OffsetMs - (OffsetF - OffsetA);
            Assert.InRange(difference / estimate.DifferenceSigmaMs, -3.5, 3.5);
        }
        // 16 ratios, pairwise correlated: with honest σ their rms is near 1.
        Assert.All(ratios, r => Assert.InRange(r, -3.5, 3.5));
        Assert.InRange(Math.Sqrt(ratios.Average(r => r * r)), 0.5, 1.5);
    }

    [Theory]
    [InlineData(20)]
    [InlineData(30)]
    [InlineData(45)]
    public void Nothing_is_claimed_before_both_legs_have_seen_the_same_local_times(int days)
    {
        for (ulong seed = 1; seed <= 3; seed++)
        {
            var estimate = Solve(Green.Value.Sums(seed, days, OffsetF, OffsetA));
            Assert.Equal(ZeroWindStatus.CannotTellYet, estimate.Status);
            Assert.Contains(estimate.Reasons, r => r.StartsWith("Both legs have seen", StringComparison.Ordinal));
            Assert.True(estimate.PairedShare < 0.9);
            // A cycle of local time of this orbit takes 61 days.
            Assert.InRange(estimate.ExpectedAt!.Value - SimulatedWinds.Start, 58 * 86400.0, 70 * 86400.0);
            Assert.InRange(24 / Math.Abs(estimate.LocalTimeRateHPerDay), 57, 66);
        }
    }

    [Fact]
    public void The_first_claim_comes_when_a_cycle_of_local_time_is_round_and_holds()
    {
        for (ulong seed = 1; seed <= 3; seed++)
        {
            var all = Green.Value.Sums(seed, 66, OffsetF, OffsetA);
            ZeroWindEstimate Of(int days) => Solve([.. all.Where(o => o.Start < SimulatedWinds.Start.AddSeconds(days * 86400.0))]);
            var claimed = Enumerable.Range(46, 21).ToDictionary(d => d, d => Of(d).Status == ZeroWindStatus.Claimed);
            var first = claimed.Where(c => c.Value).Min(c => c.Key);
            var estimate = Of(first);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"seed {seed}: first claim after {first} days, {estimate.Offsets[0].OffsetMs:0.0} ± {estimate.Offsets[0].SigmaMs:0.0} and {estimate.Offsets[1].OffsetMs:0.0} ± {estimate.Offsets[1].SigmaMs:0.0} m/s; true {OffsetF} and {OffsetA}"));
            Assert.Equal(FirstClaimDay, first);
            Assert.All(claimed, c => Assert.Equal(c.Key >= first, c.Value));
            Assert.InRange((estimate.Offsets[0].OffsetMs - OffsetF) / estimate.Offsets[0].SigmaMs, -3.5, 3.5);
            Assert.InRange((estimate.Offsets[1].OffsetMs - OffsetA) / estimate.Offsets[1].SigmaMs, -3.5, 3.5);
        }
    }

    [Fact]
    public void A_constant_yaw_error_looks_the_same_as_an_offset_common_to_both_views()
    {
        const double yawDeg = 0.05;
        var without = Solve(Green.Value.Sums(4, 66, OffsetF, OffsetA));
        var with = Solve(Green.Value.Sums(4, 66, OffsetF, OffsetA, yawDeg));
        var shift = with.Offsets.Zip(without.Offsets, (a, b) => (a.OffsetMs - b.OffsetMs) / (100 * yawDeg)).ToArray();
        Assert.All(shift, s => Assert.InRange(s, 0.75, 1.0)); // m/s per 0.01°
        Assert.InRange(shift[0] - shift[1], -0.05, 0.05);
        // Nothing in the fit tells it: the residuals, hence the uncertainties, are those without it.
        Assert.Equal(without.CommonSigmaMs, with.CommonSigmaMs, 0.02);
        Assert.Equal(ZeroWindStatus.Claimed, with.Status);
        Assert.Contains("cannot be told apart", ZeroWindEstimate.YawSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void The_order_of_the_orbits_changes_no_bit()
    {
        var sums = Green.Value.Sums(5, 62, OffsetF, OffsetA);
        var shuffled = sums.ToArray();
        new Random(3).Shuffle(shuffled);
        var (a, b) = (Solve(sums), Solve(shuffled));
        Assert.Equal(a.Offsets, b.Offsets);
        Assert.Equal(a.CovarianceM2S2, b.CovarianceM2S2);
        Assert.Equal(a.Columns, b.Columns);
    }

    [Fact]
    public void Turning_latitudes_are_left_out_and_the_winds_variation_is_stated()
    {
        var estimate = Solve(Green.Value.Sums(6, 66, OffsetF, OffsetA));
        var leftOut = Enumerable.Range(0, estimate.Columns.Count).Where(i => estimate.Columns[i] == ZeroWindColumn.LeftOut).Select(i => i / ZeroWindGrid.Hours).Distinct().ToArray();
        Assert.NotEmpty(leftOut);
        // The views look to the left of the track: northward from the northern turn, so the band of winds reaches from some 35° S to 65° N.
        Assert.All(leftOut, latitude => Assert.True(latitude <= 6 || latitude >= 13, $"latitude bin {latitude}"));
        Assert.InRange(estimate.DailyWindSigmaMs[2], 10, 60);
        Assert.True(estimate.BinsUsed < estimate.BinsSeen);
        Assert.InRange(estimate.Information.Weakest, 0.2, estimate.Information.Strongest);
        Assert.InRange(estimate.Information.Strongest, estimate.Information.Weakest, 0.5);
    }
}
