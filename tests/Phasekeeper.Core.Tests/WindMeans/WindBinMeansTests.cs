using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.WindMeans;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.WindMeans;

public sealed class WindBinMeansTests
{
    private static readonly Instant Noon = Instant.FromUtc(2031, 5, 9, 12, 0, 0);

    [Fact]
    public void A_place_lies_in_the_bin_of_its_latitude_hour_and_height()
    {
        Assert.Equal((4, 9, 6), WindBinGrid.Parts(WindBinGrid.Of(5, 13.9, 109.9)));
        Assert.Equal((0, 17, 0), WindBinGrid.Parts(WindBinGrid.Of(90, 0, 60)));
        Assert.All(new[] { WindBinGrid.Of(0, 12, 59.9), WindBinGrid.Of(0, 12, 400), WindBinGrid.Of(double.NaN, 12, 100), WindBinGrid.Of(0, 24, 100) }, bin => Assert.Equal(-1, bin));
        Assert.Equal(WindBinGrid.Altitudes, WindBinGrid.AltitudeEdgesKm.Count - 1);
        Assert.All(Enumerable.Range(0, WindBinGrid.Altitudes), a => Assert.Equal(a, WindBinGrid.AltitudeOf(WindBinGrid.MiddleKm(a))));
        Assert.Equal(WindBinGrid.Count - 1, WindBinGrid.Of(90, 23.99, 399.9));
    }

    [Fact]
    public void An_orbits_bins_depend_on_the_set_of_vectors_alone_and_keep_good_and_doubtful_apart()
    {
        var random = new Random(1);
        WindVector[] vectors = [.. Enumerable.Range(0, 300).Select(i => Vector(i, random.NextDouble() * 40, 100 + 20 * random.NextDouble(), 100 * (random.NextDouble() - 0.5), (WindQuality)(i % 3)))];
        var bins = OrbitWindBins.Of(7, "green", vectors);
        Assert.Equal(bins.Bins, OrbitWindBins.Of(7, "green", vectors.OrderBy(_ => random.Next())).Bins);
        Assert.Equal((100, 100), (bins.Bins.Where(b => !b.Doubtful).Sum(b => b.Count), bins.Bins.Where(b => b.Doubtful).Sum(b => b.Count)));
        var good = vectors.Where(v => v.Quality == WindQuality.Good).ToArray();
        Assert.Equal(good.Sum(v => v.EastwardMs), bins.Bins.Where(b => !b.Doubtful).Sum(b => b.Count * b.EastwardMs), 3);
    }

    // Truth: days scatter by 12 m/s, orbits within a day by 7, vectors within an orbit by 4.
    [Fact]
    public void Variability_is_told_apart_by_its_scale()
    {
        var random = new Random(2);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var means = new WindBinMeans(WindComponent.Eastward, withDoubtful: false);
        for (int day = 0, orbit = 0; day < 400; day++)
        {
            var ofDay = 30 + 12 * Normal();
            for (var k = 0; k < 15; k++, orbit++)
            {
                var ofOrbit = ofDay + 7 * Normal();
                means.Add(day, OrbitWindBins.Of(orbit, "green", Enumerable.Range(0, 6).Select(i => Vector(i, 5, 105, ofOrbit + 4 * Normal(), WindQuality.Good))));
            }
        }
        var found = means.Of(means.Bins.Single())!.Value;
        Assert.Equal((36_000, 6000, 400), (found.Count, found.Orbits, found.Days));
        // Means of six vectors and of fifteen orbits carry a share of the smaller scales; statistical scatter of 400 days is 4 %.
        Assert.Equal(4, found.WithinMs, 0.1);
        Assert.Equal(Math.Sqrt(49 + 16 / 6.0), found.OrbitToOrbitMs, 0.2);
        Assert.Equal(Math.Sqrt(144 + (49 + 16 / 6.0) / 15), found.DayToDayMs, 1.5);
        Assert.Equal(30, found.MeanMs, 2.0);
    }

    [Fact]
    public void What_one_value_cannot_tell_is_not_told()
    {
        var means = new WindBinMeans(WindComponent.Northward, withDoubtful: true);
        means.Add(3, OrbitWindBins.Of(1, "green", [Vector(0, 5, 105, 10, WindQuality.Doubtful)]));
        var found = means.Of(means.Bins.Single())!.Value;
        Assert.Equal(-10, found.MeanMs);
        Assert.All(new[] { found.WithinMs, found.OrbitToOrbitMs, found.DayToDayMs }, d => Assert.True(double.IsNaN(d)));
        Assert.Throws<ArgumentOutOfRangeException>(() => means.Add(2, OrbitWindBins.Of(2, "green", [Vector(0, 5, 105, 10, WindQuality.Good)])));
    }

    // At noon UTC the Sun stands near Greenwich (within 4° by the equation of time): 12 h local time at longitude 0.
    [Fact]
    public void Local_time_is_the_Suns()
    {
        var bin = Assert.Single(OrbitWindBins.Of(1, "green", [Vector(0, 5, 105, 10, WindQuality.Good)]).Bins).Bin;
        Assert.Equal(6, WindBinGrid.Parts(bin).Hour);
        Assert.InRange(LocalSolarTime.Hours(Math.PI / 2, LocalSolarTime.SubsolarLongitudeRad(Noon)), 17.7, 18.3);
    }

    private static WindVector Vector(int number, double latitudeDeg, double altitudeKm, double eastwardMs, WindQuality quality) => new()
    {
        Time = Noon.AddSeconds(number),
        Line = "green",
        FirstExposure = 1,
        SecondExposure = 2,
        Row = number,
        LatitudeRad = latitudeDeg * (Math.PI / 180),
        LongitudeRad = 0.1,
        AltitudeKm = altitudeKm,
        SecondsBetweenLooks = 400,
        SeparationKm = 10,
        EastwardMs = eastwardMs,
        NorthwardMs = -eastwardMs,
        EastwardSigmaMs = 4,
        NorthwardSigmaMs = 4,
        CovarianceM2S2 = 0,
        Quality = quality,
        Reasons = [],
    };
}
