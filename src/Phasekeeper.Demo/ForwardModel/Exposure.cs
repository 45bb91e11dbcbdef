using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>One exposure of the schedule: its number (1 = the first of the scenario), kind, middle and length.</summary>
public readonly record struct Exposure(long Id, ExposureKind Kind, Instant Time, double IntegrationS);

/// <summary>
/// When which exposure is taken: scenes every 120 s, the lamp every 480 s, darks every 9,600 s and flats every 48,000 s, never two at
/// once. Exposures are numbered in the order of time, which can be worked out for any moment without counting through.
/// </summary>
public sealed partial class ExposureSchedule(Instant start)
{
    /// <summary>Exposures whose middle lies in [from, to), in the order of time.</summary>
    public IReadOnlyList<Exposure> Between(Instant from, Instant to)
    {
        var found = new List<Exposure>();
        foreach (var (kind, offset, period, integration) in Series)
        {
            var last = Count(offset, period, to);
            for (var n = Count(offset, period, from); n < last; n++)
            {
                var time = start.AddSeconds(offset + n * (double)period);
                found.Add(new Exposure(1 + CountBefore(time), kind, time, integration));
            }
        }
        found.Sort((a, b) => a.Id.CompareTo(b.Id));
        return found;
    }

    /// <summary>Exposures of all kinds whose middle lies before a moment.</summary>
    public long CountBefore(Instant time) => Series.Sum(s => Count(s.OffsetS, s.PeriodS, time));

    /// <summary>True within <paramref name="seconds"/> of the middle of an exposure of a kind.</summary>
    public bool IsNear(ExposureKind kind, Instant time, double seconds)
    {
        var (_, offset, period, _) = Series[(int)kind];
        var since = time - start - offset;
        var phase = since - period * Math.Round(since / period);
        return since > -seconds && Math.Abs(phase) <= seconds;
    }

    private long Count(int offsetS, int periodS, Instant before)
    {
        var nanoseconds = before.TaiNanoseconds - start.TaiNanoseconds - offsetS * Instant.NanosecondsPerSecond;
        var period = periodS * Instant.NanosecondsPerSecond;
        return nanoseconds <= 0 ? 0 : (nanoseconds + period - 1) / period;
    }
}
