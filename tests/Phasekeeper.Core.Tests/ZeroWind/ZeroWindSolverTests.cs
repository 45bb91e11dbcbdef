using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Tests.ZeroWind;

public sealed class ZeroWindSolverTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 10);
    private static readonly string[] Views = ["F", "A"];

    // Every day both legs pass all hours; winds are steady in each bin, looks as on the equator of an orbit of 45°.
    private static List<OrbitWindSums> Steady(int days, Func<int, bool, int, double> hourOf, double zF, double zA) =>
        [.. Enumerable.Range(0, days).Select(day =>
        {
            var start = Start.AddSeconds(day * 86400.0 + 100);
            List<ZeroWindSample> samples = [];
            foreach (var ascending in new[] { true, false })
                for (var pass = 0; pass < 24; pass++)
                {
                    var hour = hourOf(day, ascending, pass);
                    double u = 40 * Math.Sin(Math.Floor(hour)), v = 25 * Math.Cos(2 * Math.Floor(hour));
                    foreach (var view in Views)
                    {
                        // Heading 45° going up and 135° going down; the views look 45° and 135° to the left of it.
                        var azimuth = ((ascending ? 45 : 135) - (view == "F" ? 45 : 135)) * (Math.PI / 180);
                        samples.Add(new(start, view, "green", 5, hour, 105, azimuth, ascending, u * Math.Sin(azimuth) + v * Math.Cos(azimuth) + (view == "F" ? zF : zA), 3));
                    }
                }
            return OrbitWindSums.Of(day, start, samples);
        })];

    [Fact]
    public void Offsets_are_found_exactly_where_winds_are_steady()
    {
        var estimate = ZeroWindSolver.Solve(Steady(30, (_, _, pass) => pass + 0.5, 12, -7), Views, "green");
        Assert.Equal(12, estimate.Offsets[0].OffsetMs, 1e-5);
        Assert.Equal(-7, estimate.Offsets[1].OffsetMs, 1e-5);
        Assert.Equal(ZeroWindStatus.Claimed, estimate.Status);
        // Four looks at right angles: half of the information is left on any combination.
        Assert.Equal(0.5, estimate.Information.Weakest, 1e-6);
        Assert.Equal(24, estimate.HoursUsed);
        Assert.Equal(30, estimate.Days);
    }

    [Fact]
    public void One_leg_at_each_local_time_tells_nothing()
    {
        var estimate = ZeroWindSolver.Solve(Steady(30, (_, ascending, pass) => (ascending ? 0 : 12) + pass / 2 + 0.5, 12, -7), Views, "green");
        Assert.Equal(ZeroWindStatus.CannotTellYet, estimate.Status);
        Assert.Equal(0, estimate.BinsUsed);
        Assert.Equal(0, estimate.PairedShare);
        Assert.All(estimate.Offsets, o => Assert.True(double.IsNaN(o.OffsetMs)));
        Assert.Contains(estimate.Reasons, r => r.Contains("cannot be told apart anywhere", StringComparison.Ordinal));
        // The local times of this orbit never move, so no date is promised.
        Assert.Null(estimate.ExpectedAt);
        Assert.Contains(estimate.Reasons, r => r.Contains("only yaw turns", StringComparison.Ordinal));
    }

    [Fact]
    public void A_leg_that_moves_through_the_day_gets_a_date()
    {
        // 0.5 h a day: 48 days for a cycle, and a bin more.
        var estimate = ZeroWindSolver.Solve(Steady(10, (day, ascending, pass) => (0.01 * pass + (ascending ? 0.1 : 12.1) + 0.5 * day) % 24, 12, -7), Views, "green");
        Assert.Equal(ZeroWindStatus.CannotTellYet, estimate.Status);
        Assert.Equal(0.5, estimate.LocalTimeRateHPerDay, 0.01);
        Assert.Equal(Start.AddSeconds(50 * 86400.0), estimate.ExpectedAt);
    }

    [Fact]
    public void Too_few_days_are_not_enough_whatever_the_geometry()
    {
        var estimate = ZeroWindSolver.Solve(Steady(8, (_, _, pass) => pass + 0.5, 12, -7), Views, "green");
        Assert.Equal(ZeroWindStatus.CannotTellYet, estimate.Status);
        Assert.Contains("Winds of 8 days", Assert.Single(estimate.Reasons), StringComparison.Ordinal);
    }

    [Fact]
    public void Without_winds_it_says_so()
    {
        var estimate = ZeroWindSolver.Solve([], Views, "green");
        Assert.Equal("No good winds in the window.", Assert.Single(estimate.Reasons));
        Assert.Null(estimate.From);
        Assert.Equal(2, estimate.Offsets.Count);
        Assert.All(estimate.Columns, c => Assert.Equal(ZeroWindColumn.Empty, c));
    }

    [Fact]
    public void Sums_condense_exactly_what_has_a_bin()
    {
        ZeroWindSample At(double altitude, double azimuth, double wind, double sigma) => new(Start, "F", "green", -12, 23.5, altitude, azimuth, true, wind, sigma);
        var sums = OrbitWindSums.Of(7, Start, [At(91, 0, 10, 3), At(99.9, Math.PI / 2, 20, 5), At(79.9, 0, 1, 1), At(320, 0, 1, 1), At(95, 0, double.NaN, 1), At(95, 0, 1, 0)]);
        var cell = Assert.Single(sums.Cells);
        Assert.Equal(2, cell.Count);
        Assert.Equal(15, cell.MeanWindMs);
        Assert.Equal(17, cell.MeanVarianceM2S2);
        Assert.Equal(0.5, cell.MeanSinAzimuth, 1e-15);
        Assert.Equal(7 * 24 + 23, ZeroWindGrid.ColumnOf(cell.Bin));
        Assert.Equal(1, ZeroWindGrid.AltitudeOf(cell.Bin));
    }

    [Theory]
    [InlineData(91, 5, 100)]
    [InlineData(0, 24, 100)]
    [InlineData(0, -1, 100)]
    [InlineData(double.NaN, 5, 100)]
    [InlineData(0, 5, double.NaN)]
    public void Places_outside_the_grid_have_no_bin(double latitude, double hour, double altitude) => Assert.Equal(-1, ZeroWindGrid.Of(latitude, hour, altitude));

    [Fact]
    public void Eigenvalues_meet_the_closed_form()
    {
        var values = SymmetricEigenvalues.Of([2, 1, 0, 1, 2, 0, 0, 0, 5], 3);
        Assert.Equal(1, values[0], 1e-14);
        Assert.Equal(3, values[1], 1e-14);
        Assert.Equal(5, values[2], 1e-14);
    }

    [Fact]
    public void Local_solar_time_is_noon_below_the_Sun()
    {
        var sun = Core.Geometry.LocalSolarTime.SubsolarLongitudeRad(Start.AddSeconds(43200));
        // At 12 UTC the Sun stands over Greenwich within the equation of time, about 1.5 minutes on 10 April.
        Assert.InRange(sun * (180 / Math.PI), -0.3, 0.9);
        Assert.Equal(12, Core.Geometry.LocalSolarTime.Hours(sun, sun), 1e-12);
        Assert.Equal(18, Core.Geometry.LocalSolarTime.Hours(sun + Math.PI / 2, sun), 1e-12);
        Assert.Equal(0, Core.Geometry.LocalSolarTime.Hours(sun - Math.PI, sun), 1e-9);
    }
}
