using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.Comparison;

public sealed class ComparisonTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 12, 12);
    private const double Rad = Math.PI / 180;

    private static double East(double km) => 40 * Math.Sin(km / 8);
    private static double North(double km) => 30 * Math.Cos(km / 11);

    private static IEnumerable<IndependentWind> Station(Instant time, double latitude, double longitude) =>
        Enumerable.Range(0, 26).Select(i => 80.0 + 2 * i).Select(km => new IndependentWind(time, latitude, longitude, km, East(km), North(km), 3, 4, "S"));

    private static LosWindProfile Profile(Instant time, double latitudeDeg, double longitudeDeg, double azimuthDeg, double offset, bool kernel)
    {
        double[] km = [90, 95, 100, 105, 110];
        double s = Math.Sin(azimuthDeg * Rad), c = Math.Cos(azimuthDeg * Rad);
        // A kernel that smooths over three rows, and a profile that is what it makes of the truth.
        var a = new double[25];
        for (var i = 0; i < 5; i++)
            for (var j = 0; j < 5; j++) a[5 * i + j] = i == j ? 0.6 : Math.Abs(i - j) == 1 ? 0.2 : 0;
        double Truth(double h) => East(h) * s + North(h) * c;
        var rows = km.Select((h, r) => new LosWind
        {
            Row = r,
            LatitudeRad = latitudeDeg * Rad,
            LongitudeRad = longitudeDeg * Rad,
            AltitudeKm = h,
            AzimuthRad = azimuthDeg * Rad,
            WindMs = offset + (kernel ? Enumerable.Range(0, 5).Sum(j => a[5 * r + j] * Truth(km[j])) : Truth(h)),
            SigmaMs = 6,
            SigmaThroughKernelMs = kernel ? 2 : double.NaN,
            Quality = WindQuality.Good,
            Reasons = [],
        }).ToArray();
        return new() { Time = time, Exposure = 1, View = "F", Line = "green", Rows = rows, MatrixRows = [0, 1, 2, 3, 4], AveragingKernel = kernel ? a : [], KernelAltitudeKm = kernel ? km : [] };
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_known_offset_is_found_along_the_line_of_sight(bool kernel)
    {
        var matcher = new ComparisonMatcher(WindColumn.Of([.. Station(Start, 40, 10)]));
        var pairs = Enumerable.Range(0, 6).SelectMany(i => matcher.Of(Profile(Start.AddSeconds(60 * i), 40 + 0.1 * i, 10, 30 + 20 * i, 7, kernel), 100 + i)).ToArray();
        Assert.Equal(30, pairs.Length);
        var summary = ComparisonStatistics.Of(pairs)!;
        // Interpolation over 2 km of these winds errs by some tenths of a m/s at most.
        Assert.Equal(7, summary.BiasMs, 0.1);
        Assert.Equal(6, summary.Encounters);
        Assert.InRange(summary.SpreadMs, 0, 0.5);
        Assert.Equal(1, summary.Line!.Value.Slope, 0.02);
        Assert.Equal(7, summary.Line.Value.Intercept, 0.2);
        Assert.InRange(summary.ExpectedSpreadMs, kernel ? 3 : 6.5, kernel ? 4.6 : 7.3);
        Assert.All(pairs, p => Assert.Equal(kernel ? ColumnSampling.Kernel : ColumnSampling.Interpolated, p.Sampling));
        Assert.Equal(12 + 10 / 15.0, pairs[0].LocalSolarTimeH, 0.05);
    }

    [Fact]
    public void Vectors_give_an_eastward_and_a_northward_pair()
    {
        var matcher = new ComparisonMatcher(WindColumn.Of([.. Station(Start, 40, 10)]));
        var vector = new WindVector
        {
            Time = Start.AddSeconds(600),
            Line = "green",
            FirstExposure = 1,
            SecondExposure = 2,
            Row = 3,
            LatitudeRad = 42 * Rad,
            LongitudeRad = 10 * Rad,
            AltitudeKm = 96,
            SecondsBetweenLooks = 500,
            SeparationKm = 20,
            EastwardMs = East(96) + 5,
            NorthwardMs = North(96) - 3,
            EastwardSigmaMs = 4,
            NorthwardSigmaMs = 5,
            CovarianceM2S2 = 0,
            Quality = WindQuality.Good,
            Reasons = [],
        };
        var pairs = matcher.Of(vector, 7).ToArray();
        Assert.Equal([ComparedWind.Eastward, ComparedWind.Northward], pairs.Select(p => p.Compared));
        Assert.Equal(5, pairs[0].DifferenceMs, 1e-9);
        Assert.Equal(-3, pairs[1].DifferenceMs, 1e-9);
        Assert.Equal(10, pairs[0].Minutes);
        Assert.Equal(222.4, pairs[0].DistanceKm, 0.2); // 2° of latitude on the mean sphere
        Assert.Equal((3, 4), (pairs[0].OtherSigmaMs, pairs[1].OtherSigmaMs));
        Assert.Empty(matcher.Of(vector with { Quality = WindQuality.Doubtful }, 7));
        Assert.Empty(matcher.Of(vector with { Time = Start.AddSeconds(91 * 60) }, 7));
        Assert.Empty(matcher.Of(vector with { LatitudeRad = 50 * Rad }, 7));
        Assert.Empty(matcher.Of(vector with { AltitudeKm = 150 }, 7));
    }

    [Fact]
    public void The_nearest_column_in_scaled_distance_is_taken_and_limits_hold_afterwards()
    {
        var near = Station(Start.AddSeconds(3000), 40, 10); // 50 minutes, 0 km
        var far = Station(Start, 44, 10); // 0 minutes, 445 km
        var index = new WindColumnIndex(WindColumn.Of([.. near]).Concat(WindColumn.Of([.. far])));
        var (column, km, minutes) = index.Nearest(Start, 40, 10, ComparisonLimits.Widest)!.Value;
        Assert.Equal(44, column.LatitudeDeg);
        Assert.Equal(444.8, km, 0.2);
        Assert.Equal(0, minutes);
        // Across the date line the way is short.
        Assert.Equal(111.2, WindColumnIndex.DistanceKm(0, 179.5, 0, -179.5), 0.1);
        var pair = new ComparisonMatcher(WindColumn.Of([.. far])).Of(Profile(Start, 40, 10, 0, 0, false), 1).First();
        Assert.True(ComparisonLimits.Default.Holds(pair));
        Assert.False((ComparisonLimits.Default with { DistanceKm = 400 }).Holds(pair));
    }

    [Fact]
    public void Bias_of_noisy_pairs_is_within_its_error_and_pairs_of_one_orbit_count_once()
    {
        var random = new Random(5);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var inside = 0;
        for (var trial = 0; trial < 200; trial++)
        {
            List<ComparisonPair> pairs = [];
            for (var orbit = 0; orbit < 25; orbit++)
            {
                var air = 15 * Normal(); // what both sides see differently on this orbit
                for (var i = 0; i < 12; i++)
                {
                    var truth = 60 * Normal();
                    pairs.Add(Pair(orbit, truth + 4 + air + 5 * Normal(), truth + 3 * Normal(), 5, 3));
                }
            }
            var s = ComparisonStatistics.Of(pairs)!;
            Assert.InRange(s.BiasSigmaMs, 1.5, 5);
            Assert.Equal(Math.Sqrt(34), s.ExpectedSpreadMs, 1e-9);
            Assert.True(s.SpreadMs > 1.5 * s.ExpectedSpreadMs);
            Assert.InRange(s.Correlation, s.CorrelationLow, s.CorrelationHigh);
            if (Math.Abs(s.BiasMs - 4) < s.BiasSigmaMs) inside++;
        }
        // 68 % within 1σ: 137 of 200, give or take 20.
        Assert.InRange(inside, 115, 160);
    }

    [Fact]
    public void Fishers_interval_meets_the_hand_calculation()
    {
        // r = 0.5, n = 28: z = 0.549306, half = 1.959964/5; tanh of 0.157313 and 0.941299.
        var (low, high) = ComparisonStatistics.Interval(0.5, 28);
        Assert.Equal(0.156028, low, 1e-6);
        Assert.Equal(0.735818, high, 1e-6);
        Assert.True(double.IsNaN(ComparisonStatistics.Interval(0.5, 3).Low));
    }

    [Fact]
    public void Groups_are_by_what_is_compared_view_line_and_bin()
    {
        ComparisonPair[] pairs = [Pair(1, 1, 0, 1, 1) with { AltitudeKm = 91, LocalSolarTimeH = 2 }, Pair(1, 2, 0, 1, 1) with { AltitudeKm = 99.9, LocalSolarTimeH = 23.9 }, Pair(2, 3, 0, 1, 1) with { AltitudeKm = 100, View = "A", LocalSolarTimeH = 3 }];
        Assert.Equal(["F 90–100 km 2", "A 100–110 km 1"], ComparisonGroups.Of(pairs, ComparisonGroups.ByAltitude).OrderByDescending(g => g.View).Select(g => $"{g.View} {g.Bin} {g.Summary.Pairs}"));
        Assert.Equal(["A 03–06 h", "F 00–03 h", "F 21–24 h"], ComparisonGroups.Of(pairs, ComparisonGroups.ByLocalTime).Select(g => $"{g.View} {g.Bin}"));
        Assert.Equal(2, ComparisonGroups.Of(pairs, ComparisonGroups.ByAll).Count);
        Assert.Null(ComparisonStatistics.Of([]));
        Assert.True(double.IsNaN(ComparisonStatistics.Of([pairs[0]])!.BiasSigmaMs));
        Assert.Throws<ArgumentException>(() => ComparisonGroups.Of(pairs, "colour"));
    }

    private static ComparisonPair Pair(int orbit, double own, double other, double ownSigma, double otherSigma) => new()
    {
        Compared = ComparedWind.LineOfSight,
        View = "F",
        Line = "green",
        Time = Start,
        LatitudeDeg = 0,
        LongitudeDeg = 0,
        AltitudeKm = 95,
        LocalSolarTimeH = 12,
        OwnMs = own,
        OwnSigmaMs = ownSigma,
        OtherMs = other,
        OtherSigmaMs = otherSigma,
        DistanceKm = 100,
        Minutes = 5,
        AltitudeGapKm = 0,
        Sampling = ColumnSampling.Interpolated,
        Orbit = orbit,
    };
}
