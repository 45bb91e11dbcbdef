using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Statistics of every channel over an orbit, from the stored samples. What was computed last is remembered (an orbit is asked for again by the
/// fifteen that follow it) until its telemetry changes.
/// </summary>
public sealed class ChannelStatistics(Stores stores, DecodingPlan plan)
{
    // A clock's fields count up: statistics of them say nothing.
    private readonly HashSet<string> timeFields = [.. plan.Channels.Where(c => c.IsTimeField).Select(c => c.Name)];
    // Chosen: the orbits within reach of a rule on either side of a changed one; 100 channels of 48 bins take 60 kB an orbit.
    private const int Remembered = 128;
    private readonly Dictionary<int, IReadOnlyList<ChannelOrbitStatistics>> known = [];
    private readonly Queue<int> order = new();

    /// <summary>Forgets orbits whose telemetry changed.</summary>
    public void Forget(IEnumerable<int> orbits)
    {
        foreach (var orbit in orbits) known.Remove(orbit);
    }

    /// <summary>Statistics of an orbit, by channel name.</summary>
    public IReadOnlyList<ChannelOrbitStatistics> Of(OrbitSlot orbit)
    {
        if (known.TryGetValue(orbit.Number, out var found)) return found;
        var fresh = stores.Telemetry.Active(orbit.Start, orbit.End)
            .Where(c => !timeFields.Contains(c.Name))
            .OrderBy(c => c.Name, StringComparer.Ordinal)
            // Unpacking a hundred channels is most of an orbit's work; each is a channel's own.
            .AsParallel().AsOrdered()
            .Select(c => Compute(c.Name, c.Unit, stores.Telemetry.Read(c.Name, orbit.Start, orbit.End), orbit))
            .OfType<ChannelOrbitStatistics>()
            .ToArray();
        known[orbit.Number] = fresh;
        order.Enqueue(orbit.Number);
        if (order.Count > Remembered) known.Remove(order.Dequeue());
        return fresh;
    }

    private static ChannelOrbitStatistics? Compute(string channel, string unit, ChannelSamples samples, OrbitSlot orbit)
    {
        double sum = 0, squares = 0, min = double.PositiveInfinity, max = double.NegativeInfinity;
        var count = 0;
        var binSums = new double[ChannelOrbitStatistics.ProfileBins];
        var binCounts = new int[ChannelOrbitStatistics.ProfileBins];
        var nanosPerBin = (orbit.End.TaiNanoseconds - orbit.Start.TaiNanoseconds) / (double)ChannelOrbitStatistics.ProfileBins;
        for (var i = 0; i < samples.Count; i++)
        {
            var value = samples.Values[i];
            if (!double.IsFinite(value)) continue;
            count++;
            sum += value;
            min = Math.Min(min, value);
            max = Math.Max(max, value);
            var bin = Math.Min(ChannelOrbitStatistics.ProfileBins - 1, (int)((samples.TaiNanoseconds[i] - orbit.Start.TaiNanoseconds) / nanosPerBin));
            binSums[bin] += value;
            binCounts[bin]++;
        }
        if (count == 0) return null;
        var mean = sum / count;
        foreach (var value in samples.Values)
            if (double.IsFinite(value)) squares += (value - mean) * (value - mean);
        var states = samples.Labels is not null;
        return new ChannelOrbitStatistics
        {
            Channel = channel,
            Unit = unit,
            Count = count,
            Min = min,
            Mean = mean,
            Max = max,
            StandardDeviation = count > 1 ? Math.Sqrt(squares / (count - 1)) : double.NaN,
            DutyCycle = states && max > min ? samples.Values.Count(v => v == max) / (double)count : states ? (max > 0 ? 1 : 0) : double.NaN,
            StateChanges = states ? Enumerable.Range(1, samples.Count - 1).Count(i => samples.Values[i] != samples.Values[i - 1]) : -1,
            Profile = [.. binSums.Select((s, b) => binCounts[b] > 0 ? s / binCounts[b] : double.NaN)],
        };
    }
}
