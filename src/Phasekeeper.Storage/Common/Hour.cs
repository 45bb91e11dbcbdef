using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Hour buckets: hour = floor(TAI nanoseconds / 3.6e12). The unit of the archive, of telemetry chunks and of the decode stage.</summary>
public static class Hour
{
    /// <summary>Nanoseconds in an hour.</summary>
    public const long Nanoseconds = 3600 * Instant.NanosecondsPerSecond;

    /// <summary>Bucket of a moment.</summary>
    public static long Of(Instant time) => Of(time.TaiNanoseconds);

    /// <summary>Bucket of TAI nanoseconds.</summary>
    public static long Of(long taiNanoseconds) =>
        taiNanoseconds >= 0 ? taiNanoseconds / Nanoseconds : -((-(taiNanoseconds + 1)) / Nanoseconds) - 1;

    /// <summary>First moment of a bucket.</summary>
    public static Instant Start(long hour) => new(hour * Nanoseconds);

    /// <summary>End (exclusive) of a bucket.</summary>
    public static Instant End(long hour) => new((hour + 1) * Nanoseconds);
}
