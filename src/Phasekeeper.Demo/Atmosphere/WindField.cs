using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.Atmosphere;

/// <summary>
/// Horizontal winds between 60 and 520 km: a zonal mean that turns with height, migrating diurnal and semidiurnal tides, planetary
/// waves of 2, 6 and 10 days, and a wave of short horizontal scale whose phase wanders from orbit to orbit. Amplitudes and heights are of the
/// size found in the literature of the mesosphere and lower thermosphere, not a model of any day. Eastward and northward are positive.
/// </summary>
public sealed class WindField
{
    private const int BottomKm = 60, TopKm = 520;
    private const int Waves = 6;
    // For each km: mean u (symmetric, antisymmetric), then per wave u cos, u sin, v cos, v sin.
    private const int Stride = 2 + 4 * Waves;
    private readonly double[] table = new double[(TopKm - BottomKm + 2) * Stride];
    private readonly SmoothNoise[] amplitudeNoise, phaseNoise;

    /// <summary>Winds of a seed.</summary>
    public WindField(ulong seed)
    {
        amplitudeNoise = Enumerable.Range(0, Waves).Select(w => new SmoothNoise(seed, 100 + (ulong)w, w == 5 ? 10_000 : 70_000)).ToArray();
        phaseNoise = Enumerable.Range(0, Waves).Select(w => new SmoothNoise(seed, 200 + (ulong)w, w == 5 ? 9_000 : 110_000)).ToArray();
        for (var i = 0; i <= TopKm - BottomKm + 1; i++) Fill(table.AsSpan(i * Stride, Stride), BottomKm + i);
    }

    /// <summary>
    /// What depends on time alone: make it once an exposure.
    /// </summary>
    /// <param name="seconds">Seconds since the scenario's start.</param>
    /// <param name="sunLongitudeRad">Longitude of the subsolar point, rad east.</param>
    public WindMoment At(double seconds, double sunLongitudeRad)
    {
        const double day = 86400;
        Span<double> spread = [0.25, 0.3, 0.35, 0.35, 0.35, 0.5];
        var cos = new double[Waves];
        var sin = new double[Waves];
        for (var w = 0; w < Waves; w++)
        {
            var phase = w switch
            {
                0 => -sunLongitudeRad,
                1 => -2 * sunLongitudeRad,
                2 => 2 * Math.PI * seconds / (2.05 * day),
                3 => 2 * Math.PI * seconds / (6 * day),
                4 => 2 * Math.PI * seconds / (10 * day),
                _ => 2.5 * phaseNoise[5].At(seconds),
            };
            if (w < 5) phase += 0.35 * phaseNoise[w].At(seconds);
            var amplitude = Math.Max(0, 1 + spread[w] * amplitudeNoise[w].At(seconds));
            (sin[w], cos[w]) = Math.SinCos(phase);
            sin[w] *= amplitude;
            cos[w] *= amplitude;
        }
        return new WindMoment(cos, sin);
    }

    /// <summary>Eastward and northward wind at a place, m/s.</summary>
    public (double EastwardMs, double NorthwardMs) Evaluate(WindMoment moment, in GeodeticPoint at)
    {
        var z = Math.Clamp(at.AltitudeKm - BottomKm, 0, TopKm - BottomKm);
        var index = (int)z;
        var f = z - index;
        var row = table.AsSpan(index * Stride, 2 * Stride);
        double Value(ReadOnlySpan<double> r, int k) => r[k] + f * (r[k + Stride] - r[k]);

        double sl = at.SinLatitude, cl = at.CosLatitude, c1 = at.CosLongitude, s1 = at.SinLongitude;
        double c2 = c1 * c1 - s1 * s1, s2 = 2 * s1 * c1;
        double c3 = c2 * c1 - s2 * s1, s3 = s2 * c1 + c2 * s1;
        double c5 = c3 * c2 - s3 * s2, s5 = s3 * c2 + c3 * s2;
        var twice = 2 * sl * cl;
        ReadOnlySpan<double> cosLon = [c1, c2, c3, c1, c1, c5];
        ReadOnlySpan<double> sinLon = [s1, s2, s3, s1, s1, s5];
        ReadOnlySpan<double> latU = [cl, cl, 0.4 + 0.6 * twice, cl, cl, 1];
        ReadOnlySpan<double> latV = [0.35 * sl + 0.75 * twice, 0.45 + 0.55 * twice, cl, sl, sl, 1];

        var u = Value(row, 0) * cl + Value(row, 1) * sl;
        double v = 0;
        for (var w = 0; w < Waves; w++)
        {
            var c = cosLon[w] * moment.Cos[w] - sinLon[w] * moment.Sin[w];
            var s = sinLon[w] * moment.Cos[w] + cosLon[w] * moment.Sin[w];
            var k = 2 + 4 * w;
            u += latU[w] * (Value(row, k) * c + Value(row, k + 1) * s);
            v += latV[w] * (Value(row, k + 2) * c + Value(row, k + 3) * s);
        }
        return (u, v);
    }

    private static void Fill(Span<double> row, double z)
    {
        static double Bell(double z, double centre, double width) => Math.Exp(-(z - centre) * (z - centre) / (2 * width * width));
        static double Rise(double z, double centre, double width) => 1 / (1 + Math.Exp(-(z - centre) / width));
        row[0] = -18 * Bell(z, 87, 6) + 38 * Bell(z, 101, 6) - 42 * Bell(z, 118, 8) + 12 * Rise(z, 200, 25);
        row[1] = 14 * Bell(z, 95, 12) - 18 * Bell(z, 125, 15);
        const double turn = 2 * Math.PI;
        // amplitude (m/s) of u and v, phase (rad) where the eastward wind is largest; v lags by a quarter turn.
        Add(row, 0, 66 * Bell(z, 100, 10), 60 * Bell(z, 100, 10), turn * (98 - z) / 24);
        Add(row, 0, 128 * Rise(z, 150, 14), 105 * Rise(z, 150, 14), 2.3);
        Add(row, 1, 72 * Bell(z, 114, 15) + 16 * Rise(z, 145, 12), 64 * Bell(z, 114, 15) + 14 * Rise(z, 145, 12), turn * (114 - Math.Min(z, 160)) / 48);
        Add(row, 2, 13 * Bell(z, 92, 9), 24 * Bell(z, 92, 9), turn * (92 - z) / 80);
        Add(row, 3, 20 * Bell(z, 104, 14), 9 * Bell(z, 104, 14), turn * (104 - z) / 60);
        Add(row, 4, 14 * Bell(z, 96, 15), 8 * Bell(z, 96, 15), turn * (96 - z) / 70);
        Add(row, 5, 14 * Bell(z, 108, 18) + 9 * Rise(z, 160, 20), 13 * Bell(z, 108, 18) + 9 * Rise(z, 160, 20), turn * (100 - Math.Min(z, 180)) / 22);
        // All of it a little stronger, so that 220 m/s is reached at times.
        foreach (ref var value in row[..Stride]) value *= 1.12;
    }

    private static void Add(Span<double> row, int wave, double u, double v, double phase)
    {
        var (sin, cos) = Math.SinCos(phase);
        var k = 2 + 4 * wave;
        row[k] += u * cos;
        row[k + 1] += u * sin;
        row[k + 2] += -v * sin;
        row[k + 3] += v * cos;
    }
}

/// <summary>The waves' amplitude and phase at one moment, as cosine and sine parts.</summary>
public sealed record WindMoment(double[] Cos, double[] Sin);
