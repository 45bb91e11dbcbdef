using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A telemetry channel.</summary>
/// <param name="Name">Name of the parameter.</param>
/// <param name="Unit">Unit; empty for none.</param>
/// <param name="Description">Description; empty for none.</param>
/// <param name="Role">Role in the profile, e.g. interferometerTemperature; null for none.</param>
public sealed record TelemetryChannel(string Name, string Unit = "", string Description = "", string? Role = null);

/// <summary>A channel with what is stored of it (contract.md section 4, <c>/api/v1/channels</c>).</summary>
public sealed record ChannelRow
{
    /// <summary>Name of the parameter.</summary>
    public required string Name { get; init; }
    /// <summary>Unit; empty for none.</summary>
    public required string Unit { get; init; }
    /// <summary>Description; empty for none.</summary>
    public required string Description { get; init; }
    /// <summary>Role in the profile; null for none.</summary>
    public string? Role { get; init; }
    /// <summary>Time of the first sample; null when there is none.</summary>
    public Instant? FirstTime { get; init; }
    /// <summary>Time of the last sample.</summary>
    public Instant? LastTime { get; init; }
    /// <summary>Number of samples.</summary>
    public long Count { get; init; }
}

/// <summary>
/// Samples of one channel. Either <see cref="Values"/> alone (real numbers; NaN is a sample without a value), or also
/// <see cref="Integers"/> (whole numbers, enumerations, texts), of which Values are the nearest doubles.
/// </summary>
public sealed record ChannelSamples
{
    /// <summary>Samples of real numbers.</summary>
    public static ChannelSamples Real(long[] taiNanoseconds, double[] values) => new(taiNanoseconds, values, null, null, false);

    /// <summary>Samples of whole numbers, with the labels of those that have one (enumerations).</summary>
    public static ChannelSamples Whole(long[] taiNanoseconds, long[] integers, IReadOnlyDictionary<long, string>? labels = null) =>
        new(taiNanoseconds, Array.ConvertAll(integers, i => (double)i), integers, labels, false);

    /// <summary>Samples of texts: kept as numbers of their order among the chunk's different texts.</summary>
    public static ChannelSamples Text(long[] taiNanoseconds, string[] texts)
    {
        var distinct = texts.Distinct().Order(StringComparer.Ordinal).ToArray();
        var numbers = Array.ConvertAll(texts, t => (long)Array.BinarySearch(distinct, t, StringComparer.Ordinal));
        return new(taiNanoseconds, Array.ConvertAll(numbers, i => (double)i), numbers,
            distinct.Select((t, i) => (Key: (long)i, t)).ToDictionary(p => p.Key, p => p.t), true);
    }

    internal ChannelSamples(long[] taiNanoseconds, double[] values, long[]? integers, IReadOnlyDictionary<long, string>? labels, bool isText)
    {
        if (values.Length != taiNanoseconds.Length) throw StorageErrors.LengthMismatch("A list of values", values.Length, taiNanoseconds.Length);
        TaiNanoseconds = taiNanoseconds;
        Values = values;
        Integers = integers;
        Labels = labels;
        IsText = isText;
    }

    /// <summary>Sample times, TAI nanoseconds; not falling.</summary>
    public long[] TaiNanoseconds { get; }
    /// <summary>Values in the channel's unit.</summary>
    public double[] Values { get; }
    /// <summary>Exact whole numbers; null for real numbers.</summary>
    public long[]? Integers { get; }
    /// <summary>Labels of whole numbers; null for none.</summary>
    public IReadOnlyDictionary<long, string>? Labels { get; }

    /// <summary>True: the numbers mean nothing but their labels.</summary>
    public bool IsText { get; }

    /// <summary>Number of samples.</summary>
    public int Count => TaiNanoseconds.Length;

    /// <summary>Time of a sample.</summary>
    public Instant TimeAt(int i) => new(TaiNanoseconds[i]);

    /// <summary>Samples first…last−1.</summary>
    internal ChannelSamples Slice(int first, int last) => first == 0 && last == Count ? this
        : new(TaiNanoseconds[first..last], Values[first..last], Integers?[first..last], Labels, IsText);

    /// <summary>Chunks after one another as one: texts are numbered anew, and whole numbers stay whole only where all are.</summary>
    internal static ChannelSamples Join(IReadOnlyList<ChannelSamples> chunks)
    {
        if (chunks.Count == 1) return chunks[0];
        long[] times = [.. chunks.SelectMany(c => c.TaiNanoseconds)];
        if (chunks.Any(c => c.IsText)) return Text(times, [.. chunks.SelectMany(c => Enumerable.Range(0, c.Count).Select(i => c.LabelAt(i) ?? ""))]);
        if (chunks.Count == 0 || chunks.Any(c => c.Integers is null)) return Real(times, [.. chunks.SelectMany(c => c.Values)]);
        var labels = new Dictionary<long, string>();
        foreach (var chunk in chunks)
            foreach (var (number, label) in chunk.Labels ?? new Dictionary<long, string>()) labels[number] = label;
        return Whole(times, [.. chunks.SelectMany(c => c.Integers!)], labels.Count > 0 ? labels : null);
    }

    /// <summary>Label of a sample; null for none.</summary>
    public string? LabelAt(int i) => Integers is { } whole && Labels is { } labels && labels.TryGetValue(whole[i], out var label) ? label : null;
}

/// <summary>One channel's samples of one hour, on their way into the store.</summary>
/// <param name="Channel">The channel.</param>
/// <param name="Samples">Its samples.</param>
/// <param name="Counts">The raw numbers that the values were made from; null where there are none. They only make the samples shorter to keep.</param>
public sealed record ChannelChunk(TelemetryChannel Channel, ChannelSamples Samples, RawCounts? Counts = null);

/// <summary>One sample.</summary>
/// <param name="Time">Sample time.</param>
/// <param name="Value">Value in the channel's unit; NaN for none.</param>
/// <param name="Label">Label of an enumeration or text; null for none.</param>
public readonly record struct ChannelSample(Instant Time, double Value, string? Label);

/// <summary>A stretch of a channel for a plot: the extremes of each column.</summary>
/// <param name="Level">raw (each point is a sample), or what the columns were made of: samples, minutes or hours.</param>
/// <param name="Points">Points in order of time; columns without samples are left out.</param>
public sealed record DecimatedSeries(string Level, IReadOnlyList<RollUp> Points);

/// <summary>Smallest, mean and largest of the finite samples in a stretch; <see cref="Count"/> of them.</summary>
public readonly record struct RollUp(Instant Start, double Min, double Mean, double Max, long Count);
