using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// Dark exposures: the mean electrons per sample of each row above the bias, the mean rate over the frame, and the samples that
/// are hot.
/// </summary>
/// <remarks>
/// The level of a frame is the median of its good samples, its noise the dark's own Poisson noise, read noise and rounding, or
/// the robust scatter (1.4826·MAD) where that is larger. A sample more than <see cref="HotSigma"/> of that above the level is
/// hot and is left out of the means. At 6σ, noise alone makes one in a thousand million samples hot. One exposure cannot tell
/// a hot sample from a particle's hit: what is hot in several exposures is a hot sample, which is the tracker's to decide.
/// </remarks>
internal static class DarkExposure
{
    /// <summary>Threshold above the level in units of the noise (chosen).</summary>
    public const double HotSigma = 6;

    public static FringeResult Measure(FringeFrame frame, InstrumentModel instrument, DarkLaw dark, FringePatterns patterns, FringeResult result)
    {
        int n = instrument.Samples, stride = patterns.Stride;
        var gain = instrument.ElectronsPerCount;
        var count = 0;
        // In double precision: dark exposures are few, and a mean of a thousand samples is worth more digits than one sample.
        double[] all = new double[instrument.Rows * stride], sorted = new double[instrument.Rows * n];
        for (var r = 0; r < instrument.Rows; r++)
        {
            if (frame.Rows[r] is not { } counts) continue;
            for (var i = 0; i < n; i++)
            {
                var electrons = (counts[i] - dark.BiasCounts) * gain;
                all[r * stride + i] = electrons;
                if (patterns.Good[r * stride + i] != 0 && counts[i] < instrument.SaturationCounts) sorted[count++] = electrons;
            }
        }
        if (count == 0)
        {
            for (var r = 0; r < instrument.Rows; r++)
                if (frame.Rows[r] is not null) result.Status[r] = RowStatus.TooFewSamples;
            return result;
        }
        var level = Median(sorted.AsSpan(0, count));
        for (var k = 0; k < count; k++) sorted[k] = Math.Abs(sorted[k] - level);
        var scatter = 1.4826 * Median(sorted.AsSpan(0, count));
        var expected = Math.Max(level, 0) + instrument.ReadNoiseElectrons * instrument.ReadNoiseElectrons + gain * gain / 12;
        var noise = Math.Max(Math.Sqrt(expected), scatter);
        var hot = new List<int>();
        double total = 0;
        var used = 0;
        for (var r = 0; r < instrument.Rows; r++)
        {
            if (frame.Rows[r] is not { } counts) continue;
            double sum = 0, square = 0;
            int kept = 0, saturated = 0, outliers = 0;
            for (var i = 0; i < n; i++)
            {
                if (patterns.Good[r * stride + i] == 0) continue;
                var excess = all[r * stride + i] - level;
                if (counts[i] >= instrument.SaturationCounts) saturated++;
                if (excess > HotSigma * noise) hot.Add(r * n + i);
                if (Math.Abs(excess) > HotSigma * noise) outliers++;
                else
                {
                    sum += excess;
                    square += excess * excess;
                    kept++;
                }
            }
            result.SaturatedSamples[r] = saturated;
            result.SpikeSamples[r] = outliers;
            result.MaskedSamples[r] = n - kept;
            if (kept < 2)
            {
                result.Status[r] = RowStatus.TooFewSamples;
                continue;
            }
            result.Status[r] = RowStatus.Ok;
            result.SignalElectrons[r] = level + sum / kept;
            result.SignalSigmaElectrons[r] = noise / Math.Sqrt(kept);
            result.ChiSquare[r] = (square - sum * sum / kept) / (kept - 1) / expected;
            total += sum;
            used += kept;
        }
        if (used == 0 || !(frame.IntegrationS > 0)) return result with { HotSamples = [.. hot] };
        return result with
        {
            HotSamples = [.. hot],
            DarkRateElectronsPerS = (level + total / used) / frame.IntegrationS,
            DarkRateSigmaElectronsPerS = noise / Math.Sqrt(used) / frame.IntegrationS,
        };
    }

    private static double Median(Span<double> values)
    {
        values.Sort();
        var half = values.Length / 2;
        return values.Length % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
    }
}
