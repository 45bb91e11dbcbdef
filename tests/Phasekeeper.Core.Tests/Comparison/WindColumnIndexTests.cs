using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Tests.Comparison;

public sealed class WindColumnIndexTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 12, 12);

    // Columns of a set: how many, over how long, and how their places lie.
    public static TheoryData<string, int, int, double, double> Sets => new()
    {
        { "none", 1, 0, 60, 0 }, { "one", 2, 1, 60, 0 }, { "all over the Earth", 3, 4000, 300, 0 }, { "within minutes", 4, 4000, 17, 0 }, { "years apart", 5, 3000, 1.5e6, 0 },
        { "a grid with equal distances", 6, 4000, 240, 5 }, { "a coarse grid", 7, 600, 600, 30 }, { "all at one place and time", 8, 200, 0, 400 },
    };

    [Theory]
    [MemberData(nameof(Sets))]
    public void The_nearest_column_is_bit_for_bit_that_of_a_look_at_all(string name, int seed, int count, double minutes, double gridDeg)
    {
        var random = new Random(seed);
        double Grid(double value, double step) => gridDeg == 0 ? value : Math.Round(value / step) * step;
        IndependentWind Wind(int i) => new(Start.AddSeconds(60 * Grid(random.NextDouble() * minutes, 10)), Grid(Math.Asin(2 * random.NextDouble() - 1) * (180 / Math.PI), gridDeg),
            Math.Clamp(Grid(random.NextDouble() * 360 - 180, gridDeg), -180, 179.999), 100, i, -i, 1, 1, $"S{random.Next(4)}");
        WindColumn[] columns = [.. Enumerable.Range(0, count).Select(i => new WindColumn([Wind(i)]))];
        var index = new WindColumnIndex(columns);
        WindColumn[] ordered = [.. columns.OrderBy(c => c.Time).ThenBy(c => c.Winds[0].Source, StringComparer.Ordinal).ThenBy(c => c.LatitudeDeg).ThenBy(c => c.LongitudeDeg)];
        var found = 0;
        for (var q = 0; q < 1500; q++)
        {
            // Also at columns themselves, at the poles and on the date line.
            var at = Wind(-1) is var any && ordered.Length > 0 && q % 3 == 0 ? ordered[random.Next(ordered.Length)].Winds[0] : any;
            var (latitude, longitude) = q % 50 == 7 ? (90, 0) : q % 50 == 9 ? (-90, 33.0) : q % 50 == 11 ? (at.LatitudeDeg, 180.0) : (at.LatitudeDeg, at.LongitudeDeg);
            var time = at.Time.AddSeconds(q % 2 == 0 ? 0 : 5000 * (random.NextDouble() - 0.5));
            var widest = q % 5 == 0 ? new ComparisonLimits { DistanceKm = 150, Minutes = 20 } : ComparisonLimits.Widest;
            var expected = LookAtAll(ordered, time, latitude, longitude, widest);
            Assert.Equal(expected, index.Nearest(time, latitude, longitude, widest));
            if (expected is not null) found++;
        }
        Assert.True(count == 0 ? found == 0 : found > 50, $"{name}: {found} found");
    }

    private static (WindColumn Column, double DistanceKm, double Minutes)? LookAtAll(WindColumn[] columns, Instant time, double latitudeDeg, double longitudeDeg, ComparisonLimits widest)
    {
        var best = double.PositiveInfinity;
        (WindColumn, double, double)? found = null;
        foreach (var column in columns)
        {
            if (Math.Abs(time.TaiNanoseconds - column.Time.TaiNanoseconds) > (long)(widest.Minutes * 60e9)) continue;
            var distance = WindColumnIndex.DistanceKm(latitudeDeg, longitudeDeg, column.LatitudeDeg, column.LongitudeDeg);
            if (distance > widest.DistanceKm) continue;
            var minutes = (time - column.Time) / 60;
            double d = distance / ComparisonLimits.Default.DistanceKm, m = minutes / ComparisonLimits.Default.Minutes;
            if (d * d + m * m >= best) continue;
            best = d * d + m * m;
            found = (column, distance, minutes);
        }
        return found;
    }
}
