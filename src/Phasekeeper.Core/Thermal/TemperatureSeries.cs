using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>
/// Samples of one temperature, °C, in ascending time; may be empty. Times are strictly ascending: of samples that claim the same
/// moment the caller keeps one. Values are finite.
/// </summary>
public sealed class TemperatureSeries
{
    /// <summary>A series without samples.</summary>
    public static readonly TemperatureSeries Empty = new([], []);

    private readonly Instant[] _times;
    private readonly double[] _valuesC;

    /// <summary>Takes over both arrays.</summary>
    /// <exception cref="ArgumentException">Lengths differ, times do not ascend, or a value is not finite.</exception>
    public TemperatureSeries(Instant[] times, double[] valuesC)
    {
        if (times.Length != valuesC.Length)
            throw new ArgumentException($"A temperature series has {times.Length} times and {valuesC.Length} values; it needs one value a time.");
        for (var i = 0; i < times.Length; i++)
        {
            if (!double.IsFinite(valuesC[i]))
                throw new ArgumentException($"Temperature {i} at {times[i]} is {valuesC[i]}; expected a finite value in °C. Leave such samples out.");
            if (i > 0 && times[i] <= times[i - 1])
                throw new ArgumentException($"Temperature times must ascend, but sample {i} at {times[i]} follows {times[i - 1]}. Sort and keep one sample a time.");
        }
        _times = times;
        _valuesC = valuesC;
    }

    /// <summary>Number of samples.</summary>
    public int Count => _times.Length;
    /// <summary>Times, ascending.</summary>
    public ReadOnlySpan<Instant> Times => _times;
    /// <summary>Temperatures, °C.</summary>
    public ReadOnlySpan<double> ValuesC => _valuesC;

    /// <summary>Builds a series from samples in any order: sorted by time; of equal times the first in the given order is kept; values that are not finite are left out.</summary>
    public static TemperatureSeries FromUnordered(IEnumerable<(Instant Time, double ValueC)> samples)
    {
        var sorted = samples.Where(s => double.IsFinite(s.ValueC)).OrderBy(s => s.Time.TaiNanoseconds).DistinctBy(s => s.Time).ToArray();
        return new([.. sorted.Select(s => s.Time)], [.. sorted.Select(s => s.ValueC)]);
    }

    /// <summary>The samples with from ≤ time ≤ to.</summary>
    public TemperatureSeries Between(Instant from, Instant to)
    {
        var first = FirstAtOrAfter(from);
        var end = FirstAtOrAfter(new Instant(to.TaiNanoseconds == long.MaxValue ? long.MaxValue : to.TaiNanoseconds + 1));
        return first == 0 && end == Count ? this : new(_times[first..Math.Max(first, end)], _valuesC[first..Math.Max(first, end)]);
    }

    /// <summary>Linear interpolation at a moment; false outside the samples or inside a stretch without samples longer than <paramref name="gapS"/> seconds.</summary>
    public bool TryInterpolate(Instant time, double gapS, out double valueC)
    {
        valueC = double.NaN;
        var next = FirstAtOrAfter(time);
        if (next == Count) return false;
        if (_times[next] == time)
        {
            valueC = _valuesC[next];
            return true;
        }
        if (next == 0) return false;
        var span = _times[next] - _times[next - 1];
        if (span > gapS) return false;
        valueC = _valuesC[next - 1] + (_valuesC[next] - _valuesC[next - 1]) * ((time - _times[next - 1]) / span);
        return true;
    }

    /// <summary>Index of the first sample at or after a moment; <see cref="Count"/> when there is none.</summary>
    public int FirstAtOrAfter(Instant time)
    {
        int low = 0, high = _times.Length;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (_times[middle] < time) low = middle + 1;
            else high = middle;
        }
        return low;
    }
}
