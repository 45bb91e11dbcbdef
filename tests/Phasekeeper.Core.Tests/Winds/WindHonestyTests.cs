using System.Globalization;
using Phasekeeper.Core.Tests.Fringes;
using Phasekeeper.Core.Winds;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Winds;

/// <summary>
/// Does the reported σ tell the truth? Simulated exposures with waves of 50–150 km vertical wavelength, short waves and horizontal structure of the size that the options state, and errors in every correction;
/// the error is taken against the truth seen through the averaging kernel, as domain.md and the accuracy bars ask. The error against the point is printed beside it.
/// </summary>
public class WindHonestyTests(ITestOutputHelper output)
{
    private const int Profiles = 90;
    private const double LargestBiasMs = 0.5, Few = 0.05;

    private static readonly CorrectionErrors Sigmas = new(0.0015, 0.002, 0.5, 0.1, 0.01);

    [Theory]
    [InlineData("green", true)]
    [InlineData("green", false)]
    [InlineData("red", true)]
    [InlineData("red", false)]
    public void Errors_are_as_large_as_reported_and_without_bias(string line, bool day)
    {
        var limb = new SimulatedLimb();
        var random = new NoiseSource(7);
        var layers = SimulatedLimb.Layers(line, day);
        (double Low, double High)[] bands = [(80, 110), (110, 200), (200, 330)];
        var sums = bands.Select(_ => (Squares: 0.0, PointSquares: 0.0, Error: 0.0, Point: 0.0, Count: 0)).ToArray();
        for (var p = 0; p < Profiles; p++)
        {
            var air = Draw(random, layers, LosWindOptions.Default, out var wind);
            CorrectionErrors errors = new(Sigmas.DriftRad * random.Gauss(), Sigmas.ShiftSamples * random.Gauss(), Sigmas.ZeroWindMs * random.Gauss(), Sigmas.EphemerisMs * random.Gauss(), Sigmas.YawDeg * random.Gauss());
            var profile = LosWindRetrieval.Retrieve(limb.Expose(line, air, random, errors, Sigmas), limb.Paths);
            var n = profile.MatrixRows.Length;
            var u = profile.KernelAltitudeKm.Length;
            for (var k = 0; k < n; k++)
            {
                var row = profile.Rows[profile.MatrixRows[k]];
                if (row.Quality != WindQuality.Good) continue;
                var seen = 0.0;
                for (var i = 0; i < u; i++) seen += profile.AveragingKernel[k * u + i] * wind(profile.KernelAltitudeKm[i], limb.AlongMm(profile.MatrixRows[Math.Min(i, n - 1)]));
                var band = Array.FindIndex(bands, b => row.AltitudeKm >= b.Low && row.AltitudeKm < b.High);
                if (band < 0) continue;
                double error = row.WindMs - seen, point = row.WindMs - wind(row.AltitudeKm, limb.AlongMm(row.Row));
                var s = sums[band];
                sums[band] = (s.Squares + error * error / (row.SigmaThroughKernelMs * row.SigmaThroughKernelMs), s.PointSquares + point * point / (row.SigmaMs * row.SigmaMs), s.Error + error, s.Point + point * point, s.Count + 1);
            }
        }
        double squares = 0;
        var count = 0;
        for (var b = 0; b < bands.Length; b++)
        {
            var s = sums[b];
            squares += s.Squares;
            count += s.Count;
            if (s.Count < Profiles) continue; // fewer good winds than one a profile: no statement
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{line} {(day ? "day" : "night")} {bands[b].Low}–{bands[b].High} km: error/σ {Math.Sqrt(s.Squares / s.Count):0.000} through the kernel, {Math.Sqrt(s.PointSquares / s.Count):0.000} at the point; bias {s.Error / s.Count:0.00} m/s, rms at the point {Math.Sqrt(s.Point / s.Count):0.0} m/s, {s.Count} winds"));
            // Rows of a profile share errors, so a band's ratio is known to some 5 % only.
            Assert.InRange(Math.Sqrt(s.Squares / s.Count), 0.9, 1.1);
            // A mean of 90 winds is known to half a metre per second itself.
            var bias = LargestBiasMs + Math.Sqrt(s.Point) / s.Count;
            Assert.InRange(s.Error / s.Count, -bias, bias);
        }
        Assert.True(count > 5 * Profiles);
        Assert.InRange(Math.Sqrt(squares / count), 1 - Few, 1 + Few);
    }

    private static SimulatedAir Draw(NoiseSource random, Func<double, double> layers, LosWindOptions options, out Func<double, double, double> wind)
    {
        var waves = Waves(random, 40, 50, 150, 4);
        Func<double, double> Unseen(double size)
        {
            var draw = Ripples(random, size, options.UnseenCorrelationKm);
            return z => draw(options.StiffenedKm(z));
        }
        var (slope, bend, glow) = (Unseen(options.UnseenWindGradient), Unseen(options.UnseenWindCurvature), Unseen(options.UnseenEmissionGradient));
        var ripples = Ripples(random, options.WaveSigmaMs, options.WaveCorrelationKm);
        wind = (z, x) => waves(z) + ripples(z) * Math.Exp(-Math.Max(0, z - options.WaveTopKm) / options.WaveFadeKm) + x * (slope(z) + 0.5 * x * bend(z));
        return new((z, x) => layers(z) * Math.Exp(x * glow(z)), wind);
    }

    // A draw of the options' short waves: a Matérn 5/2 process is a mixture of waves whose wavenumbers follow Student's t of five degrees of freedom.
    private static Func<double, double> Ripples(NoiseSource random, double sigma, double lengthKm)
    {
        const int count = 24, freedom = 5;
        var waves = Enumerable.Range(0, count).Select(_ =>
        {
            var square = 0.0;
            for (var i = 0; i < freedom; i++) square += Math.Pow(random.Gauss(), 2);
            return (A: sigma / Math.Sqrt(count) * random.Gauss(), B: sigma / Math.Sqrt(count) * random.Gauss(), K: random.Gauss() / lengthKm / Math.Sqrt(square / freedom));
        }).ToArray();
        return z => waves.Sum(w => w.A * Math.Cos(w.K * z) + w.B * Math.Sin(w.K * z));
    }

    // A sum of waves whose rms is sigma at every height.
    private static Func<double, double> Waves(NoiseSource random, double sigma, double shortestKm, double longestKm, int count)
    {
        var waves = Enumerable.Range(0, count).Select(_ => (A: sigma * Math.Sqrt(1.0 / count) * random.Gauss(), B: sigma * Math.Sqrt(1.0 / count) * random.Gauss(), K: 2 * Math.PI / random.Uniform(shortestKm, longestKm))).ToArray();
        return z =>
        {
            var sum = 0.0;
            foreach (var (a, b, k) in waves)
            {
                var (sin, cos) = Math.SinCos(k * z);
                sum += a * sin + b * cos;
            }
            return sum;
        };
    }
}
