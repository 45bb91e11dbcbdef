using System.Globalization;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Winds;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>
/// Is the reported covariance of vectors that of their errors? Orbits of resting air without photon noise; each draws one yaw that both views share and, for each view, its own errors of drift, image
/// shift, zero wind and ephemeris. What these errors add to the reported covariance is compared with the covariance of the vectors that come out.
/// </summary>
public class WindVectorCovarianceTests(ITestOutputHelper output)
{
    private const int Orbits = 800;
    // Sampling of the (co)variances alone: 1σ is √((V_ee·V_nn + V_en²)/N); for a variance that is √(2/N), 5 %.
    private const double LargestDeviation = 4;

    // Seconds along a circular orbit of 96 minutes: the second view looks back to where the first looked ahead.
    private static readonly double[] FirstS = [0, 60, 120], SecondS = [480];

    // Yaw outweighs the others, as a turn of 0.02° does beside a table of states.
    private static readonly CorrectionErrors Sigmas = new(0.002, 0.001, 0.5, 0.3, 0.02);

    [Theory]
    [InlineData(0)]
    [InlineData(70)]
    public void One_yaw_an_orbit_gives_vectors_the_covariance_that_is_reported(double latitudePhaseDeg)
    {
        Look[] At(double[] seconds, string view, double azimuthDeg) => [.. seconds.Select(s => new Look(new SimulatedLimb(50, latitudePhaseDeg + s / 16, azimuthDeg), view, s))];
        var (first, second) = (At(FirstS, "F", 45), At(SecondS, "A", 135));
        IReadOnlyList<WindVector> Match(CorrectionErrors a, CorrectionErrors b, CorrectionErrors? sigmas) =>
            WindVectorMatcher.Match([.. first.Select(l => l.Winds(a, sigmas))], [.. second.Select(l => l.Winds(b, sigmas))]);

        var random = new NoiseSource(11);
        var reported = Match(None, None, Sigmas);
        var without = Match(None, None, null).ToDictionary(v => v.Row);
        var sums = reported.ToDictionary(v => v.Row, _ => new double[5]);
        for (var orbit = 0; orbit < Orbits; orbit++)
        {
            var yaw = Sigmas.YawDeg * random.Gauss();
            foreach (var v in Match(Draw(random, yaw), Draw(random, yaw), null))
            {
                var s = sums[v.Row];
                (s[0], s[1]) = (s[0] + v.EastwardMs, s[1] + v.NorthwardMs);
                (s[2], s[3], s[4]) = (s[2] + v.EastwardMs * v.EastwardMs, s[3] + v.NorthwardMs * v.NorthwardMs, s[4] + v.EastwardMs * v.NorthwardMs);
            }
        }
        Assert.True(reported.Count >= 15, $"{reported.Count} vectors");
        double largest = 0, roundest = double.PositiveInfinity;
        foreach (var v in reported)
        {
            var (s, w) = (sums[v.Row], without[v.Row]);
            double ee = Square(v.EastwardSigmaMs) - Square(w.EastwardSigmaMs), nn = Square(v.NorthwardSigmaMs) - Square(w.NorthwardSigmaMs), en = v.CovarianceM2S2 - w.CovarianceM2S2;
            double east = s[0] / Orbits, north = s[1] / Orbits;
            double[] deviations =
            [
                (s[2] / Orbits - east * east - ee) / (ee * Math.Sqrt(2.0 / Orbits)),
                (s[3] / Orbits - north * north - nn) / (nn * Math.Sqrt(2.0 / Orbits)),
                (s[4] / Orbits - east * north - en) / Math.Sqrt((ee * nn + en * en) / Orbits),
            ];
            largest = Math.Max(largest, deviations.Max(Math.Abs));
            var half = Math.Sqrt(Square(ee - nn) + 4 * en * en);
            roundest = Math.Min(roundest, (ee + nn + half) / (ee + nn - half));
        }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{reported.Count} vectors, largest deviation {largest:0.0} of its sampling σ; long over short axis (variances) at least {roundest:0.0}"));
        Assert.True(largest < LargestDeviation, $"{largest:0.0}");
        // Views with independent errors of one size would have a round covariance; a common yaw moves the wind in one direction.
        Assert.True(roundest > 1.5, $"{roundest:0.0}");
    }

    private static readonly CorrectionErrors None = new(0, 0, 0, 0, 0);

    private static CorrectionErrors Draw(NoiseSource random, double yawDeg) =>
        new(Sigmas.DriftRad * random.Gauss(), Sigmas.ShiftSamples * random.Gauss(), Sigmas.ZeroWindMs * random.Gauss(), Sigmas.EphemerisMs * random.Gauss(), yawDeg);

    private static double Square(double x) => x * x;

    /// <summary>One look at resting air. Phases are linear in the errors, so the air is summed along the rays once for each kind of error.</summary>
    private sealed class Look(SimulatedLimb limb, string view, double seconds)
    {
        private static readonly Func<double, double> Layers = SimulatedLimb.Layers("green", true);

        private readonly double[] still = Phases(limb, None);
        private readonly double[][] perUnit = [.. new CorrectionErrors[] { new(1, 0, 0, 0, 0), new(0, 1, 0, 0, 0), new(0, 0, 1, 0, 0), new(0, 0, 0, 1, 0), new(0, 0, 0, 0, 1) }.Select(unit => Phases(limb, unit))];
        private readonly LosWindInput known = Expose(limb, None, Sigmas), exact = Expose(limb, None, null);

        /// <summary>Its winds with errors in the corrections; σ of the corrections are configured or not.</summary>
        public LosWindProfile Winds(CorrectionErrors e, CorrectionErrors? sigmas)
        {
            double[] errors = [e.DriftRad, e.ShiftSamples, e.ZeroWindMs, e.EphemerisMs, e.YawDeg];
            double[] phase = [.. still.Select((p, r) => p + errors.Select((x, k) => x * (perUnit[k][r] - p)).Sum())];
            var input = sigmas is null ? exact : known;
            // The Earth stands still between the looks: all limbs are made for one moment.
            return LosWindRetrieval.Retrieve(input with { Fringe = input.Fringe with { PhaseRad = phase } }, limb.Paths) with { Time = limb.Time.AddSeconds(seconds), Exposure = (long)seconds, View = view };
        }

        private static double[] Phases(SimulatedLimb limb, CorrectionErrors errors) => Expose(limb, errors, null).Fringe.PhaseRad;

        private static LosWindInput Expose(SimulatedLimb limb, CorrectionErrors errors, CorrectionErrors? sigmas) => limb.Expose("green", new((z, _) => Layers(z), (_, _) => 0), null, errors, sigmas);
    }
}
