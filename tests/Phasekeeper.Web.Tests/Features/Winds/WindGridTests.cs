using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;

namespace Phasekeeper.Web.Tests.Features.Winds;

public sealed class WindGridTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 5, 9, 12, 0, 0);
    private static readonly OrbitSlot Slot = new(7, Start, Start.AddSeconds(5760));
    private static readonly double[] Heights = [85, 90, 96, 105, 120, 145, 185];

    [Fact]
    public void Every_cell_shows_the_nearest_measured_row_and_every_vector_is_shown()
    {
        var grid = WindGrid.Of(Slot, 60, [.. Enumerable.Range(0, 10).Select(e => Exposure(e, 60 * e + 200, Heights))]);
        var shown = new HashSet<WindVector>();
        for (var r = 0; r < grid.AltitudesKm.Length; r++)
            for (var c = 0; c < grid.Minutes.Length; c++)
                if (grid[r, c] is { } v)
                {
                    shown.Add(v);
                    Assert.Equal(Heights.MinBy(h => Math.Abs(h - grid.AltitudesKm[r])), v.AltitudeKm);
                    Assert.Equal((v.Time - Start) / 60, grid.Minutes[c], 0.51);
                }
        Assert.Equal(grid.Vectors.Count, shown.Count);
        // Rows far apart fill what lies between them.
        Assert.All(Enumerable.Range(0, grid.AltitudesKm.Length).Where(r => grid.AltitudesKm[r] is > 85 and < 185), r => Assert.NotNull(grid[r, 3]));
    }

    [Fact]
    public void Missing_exposures_and_rows_stay_empty()
    {
        var grid = WindGrid.Of(Slot, 60, [Exposure(0, 0, Heights), Exposure(1, 60, [85, 90, 96, 185]), Exposure(5, 300, Heights)]);
        Assert.All(Enumerable.Range(0, grid.AltitudesKm.Length), r => Assert.Null(grid[r, 3]));
        var middle = Array.FindIndex(grid.AltitudesKm, h => h > 135);
        Assert.NotNull(grid[middle, 0]);
        Assert.Null(grid[middle, 1]);
        Assert.Equal(' ', grid.Quality()[middle][1]);
    }

    [Fact]
    public void Exposures_that_fall_into_one_column_both_stay()
    {
        // The time between the looks shrinks along the orbit, so middles of looks lie less than a cadence apart.
        var grid = WindGrid.Of(Slot, 60, [.. Enumerable.Range(0, 60).Select(e => Exposure(e, 59.2 * e, Heights))]);
        Assert.Equal(60, Enumerable.Range(0, grid.Minutes.Length).Count(c => grid[0, c] is not null));
    }

    [Fact]
    public void A_profile_is_that_of_the_nearest_exposure()
    {
        var grid = WindGrid.Of(Slot, 60, [Exposure(3, 600, Heights), Exposure(4, 660, Heights)]);
        Assert.All(grid.Profile(11.3), v => Assert.Equal(104, v.SecondExposure));
        Assert.Equal(Heights, grid.Profile(10).Select(v => v.AltitudeKm));
        Assert.Empty(grid.Profile(50));
    }

    [Theory]
    [InlineData(new[] { 10.0, -40, 62, 3 }, 75)]
    [InlineData(new double[0], 100)]
    [InlineData(new[] { 0.5, double.NaN }, 5)]
    public void Colours_reach_a_round_limit(double[] values, double limit) => Assert.Equal(limit, WindScale.LimitOf(values));

    [Fact]
    public void One_wild_value_in_a_hundred_does_not_take_the_colours() => Assert.Equal(50, WindScale.LimitOf([.. Enumerable.Repeat(45.0, 99), 5000]));

    private static StoredWindVectors Exposure(int number, double second, double[] heights) => new()
    {
        Orbit = 7,
        Line = "green",
        Exposure = 100 + number,
        ExposureTime = Start.AddSeconds(second + 200),
        InputHash = [],
        SoftwareVersion = "0.1.0",
        Vectors = [.. heights.Select(h => new WindVector
        {
            Time = Start.AddSeconds(second),
            Line = "green",
            FirstExposure = 90 + number,
            SecondExposure = 100 + number,
            Row = Array.IndexOf(Heights, h),
            LatitudeRad = 0.1,
            LongitudeRad = 1,
            AltitudeKm = h,
            SecondsBetweenLooks = 400,
            SeparationKm = 10,
            EastwardMs = h,
            NorthwardMs = -h,
            EastwardSigmaMs = 4,
            NorthwardSigmaMs = 4,
            CovarianceM2S2 = 0,
            Quality = WindQuality.Good,
            Reasons = [],
        })],
    };
}
