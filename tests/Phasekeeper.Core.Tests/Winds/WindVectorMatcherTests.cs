using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>Vectors from profiles whose winds are those of one known wind, rising with height.</summary>
public class WindVectorMatcherTests
{
    private const double Degree = Math.PI / 180;
    private static readonly Instant Start = Instant.ParseUtc("2031-03-21T12:00:00Z");

    private static double East(double altitudeKm) => 60 + 0.5 * (altitudeKm - 100);

    private static double North(double altitudeKm) => -20 - 0.2 * (altitudeKm - 100);

    private static LosWindProfile Profile(string view, long exposure, double seconds, double longitudeDeg, double azimuthDeg, double lift, WindQuality quality = WindQuality.Good)
    {
        LosWind[] rows = [.. Enumerable.Range(0, 4).Select(r =>
        {
            var altitude = 100 + 10 * r + lift;
            return new LosWind
            {
                Row = r,
                LatitudeRad = 0,
                LongitudeRad = longitudeDeg * Degree,
                AltitudeKm = altitude,
                AzimuthRad = azimuthDeg * Degree,
                WindMs = East(altitude) * Math.Sin(azimuthDeg * Degree) + North(altitude) * Math.Cos(azimuthDeg * Degree),
                SigmaMs = 3,
                Budget = new(3, 0, 0, 0, 0, default, 0),
                Quality = quality,
                Reasons = quality == WindQuality.Good ? [] : [new(quality, "masked-samples", "Some.")],
            };
        })];
        var covariance = new double[16];
        for (var k = 0; k < 4; k++) covariance[5 * k] = 9;
        return new() { Time = Start.AddSeconds(seconds), Exposure = exposure, View = view, Line = "green", Rows = rows, MatrixRows = [0, 1, 2, 3], CovarianceM2S2 = covariance };
    }

    [Fact]
    public void Two_looks_give_the_vector_between_two_exposures_of_the_first_view()
    {
        LosWindProfile[] first = [Profile("F", 1, 0, 0, 45, 0), Profile("F", 2, 60, 4, 45, 0.4), Profile("F", 3, 120, 8, 45, 0.8)];
        var vectors = WindVectorMatcher.Match(first, [Profile("A", 9, 520, 5, 135, 0.5)]);
        Assert.Equal(4, vectors.Count);
        Assert.All(vectors, v =>
        {
            Assert.Equal(East(v.AltitudeKm), v.EastwardMs, 0.3);
            Assert.Equal(North(v.AltitudeKm), v.NorthwardMs, 0.3);
            // The place lies a quarter of the way from the second to the third exposure: 75 s after the start.
            Assert.Equal(520 - 75, v.SecondsBetweenLooks, 1);
            Assert.Equal(2, v.FirstExposure);
            Assert.InRange(v.SeparationKm, 0, 1);
            Assert.Equal(WindQuality.Good, v.Quality);
        });
        // Looks at right angles, σ of 3 m/s each; interpolation between two independent exposures makes the first look better: (0.75² + 0.25²)·9, and the wind may change with time.
        var row = vectors[1];
        var own = (0.75 * 0.75 + 0.25 * 0.25) * 9 + Math.Pow(WindVectorMatcher.ChangeMsPerHour * 445 / 3600, 2);
        Assert.Equal(Math.Sqrt((own + 9) / 2), row.EastwardSigmaMs, 0.2);
        Assert.Equal(row.EastwardSigmaMs, row.NorthwardSigmaMs, 0.05);
        Assert.Equal((own - 9) / 2, row.CovarianceM2S2, 0.5);
    }

    [Fact]
    public void A_turn_that_both_looks_share_keeps_its_sign()
    {
        // +1σ of yaw is +2 m/s in the first view and, by the sign, +3 or −3 in the second; 1 m/s of roll is the first view's alone.
        LosWindProfile Turned(LosWindProfile p, AttitudeErrors turn)
        {
            var covariance = (double[])p.CovarianceM2S2.Clone();
            for (var i = 0; i < covariance.Length; i++) covariance[i] += AttitudeErrors.Covariance(turn, turn);
            return p with
            {
                Rows = [.. p.Rows.Select(w => w with { Budget = w.Budget with { Attitude = turn }, SigmaMs = Math.Sqrt(9 + AttitudeErrors.Covariance(turn, turn)) })],
                CovarianceM2S2 = covariance,
            };
        }
        foreach (var second in new[] { 3.0, -3.0 })
        {
            LosWindProfile[] first = [Turned(Profile("F", 1, 0, 0, 45, 0), new(2, 0, 1)), Turned(Profile("F", 2, 60, 4, 45, 0), new(2, 0, 1))];
            LosWindProfile[] Still() => [Profile("F", 1, 0, 0, 45, 0), Profile("F", 2, 60, 4, 45, 0)];
            var place = Profile("A", 9, 500, 2, 135, 0);
            foreach (var (v, w) in WindVectorMatcher.Match(first, [Turned(place, new(second, 0, 0))]).Zip(WindVectorMatcher.Match(Still(), [place])))
            {
                // e = (l₁ + l₂)/√2, n = (l₁ − l₂)/√2 for looks at 45° and 135°.
                Assert.Equal((4 + 1 + 9 + 2 * 2 * second) / 2, Square(v.EastwardSigmaMs) - Square(w.EastwardSigmaMs), 1e-9);
                Assert.Equal((4 + 1 + 9 - 2 * 2 * second) / 2, Square(v.NorthwardSigmaMs) - Square(w.NorthwardSigmaMs), 1e-9);
                Assert.Equal((4.0 + 1 - 9) / 2, v.CovarianceM2S2 - w.CovarianceM2S2, 1e-9);
            }
        }
    }

    private static double Square(double x) => x * x;

    [Fact]
    public void Air_that_was_not_seen_by_both_views_has_no_vector_and_doubt_is_inherited()
    {
        LosWindProfile[] first = [Profile("F", 1, 0, 0, 45, 0), Profile("F", 2, 60, 4, 45, 0, WindQuality.Doubtful)];
        Assert.Empty(WindVectorMatcher.Match(first, [Profile("A", 9, 500, 12, 135, 0)]));
        Assert.Empty(WindVectorMatcher.Match(first, [Profile("A", 9, 4000, 2, 135, 0)]));
        Assert.Empty(WindVectorMatcher.Match(first, [Profile("A", 9, 500, 2, 50, 0)]));
        Assert.All(WindVectorMatcher.Match(first, [Profile("A", 9, 500, 2, 135, 0)]), v =>
        {
            Assert.Equal(WindQuality.Doubtful, v.Quality);
            Assert.Single(v.Reasons);
        });
    }
}
