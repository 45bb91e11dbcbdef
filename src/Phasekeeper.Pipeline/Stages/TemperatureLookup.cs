using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Temperatures by role from the telemetry store, as series and at moments.</summary>
public sealed class TemperatureLookup(Stores stores)
{
    /// <summary>Telemetry further apart than this is not interpolated across, s (chosen: a tenth of an orbit).</summary>
    public const double LongestGapS = 600;

    /// <summary>Samples of a channel with from ≤ time &lt; to; empty without a channel.</summary>
    public TemperatureSeries Series(string? channel, Instant from, Instant to)
    {
        if (channel is null || to <= from) return TemperatureSeries.Empty;
        var samples = stores.Telemetry.Read(channel, from, to);
        return TemperatureSeries.FromUnordered(Enumerable.Range(0, samples.Count).Select(i => (samples.TimeAt(i), samples.Values[i])));
    }

    /// <summary>Temperature at a moment: interpolated, or the nearest sample within the longest gap; NaN when there is none.</summary>
    public static double At(TemperatureSeries series, Instant time)
    {
        if (series.TryInterpolate(time, LongestGapS, out var celsius)) return celsius;
        var next = series.FirstAtOrAfter(time);
        var after = next < series.Count ? series.Times[next] - time : double.PositiveInfinity;
        var before = next > 0 ? time - series.Times[next - 1] : double.PositiveInfinity;
        if (Math.Min(before, after) > LongestGapS) return double.NaN;
        return before <= after ? series.ValuesC[next - 1] : series.ValuesC[next];
    }
}
