using System.Collections.Concurrent;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Noise;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Telemetry;

/// <summary>Makes the data of housekeeping packets. Safe for several threads.</summary>
public sealed class HousekeepingSynthesizer(Instant begin, ulong seed, CircularOrbit orbit, ThermalTruth thermal, EventTimeline events, ExposureSchedule schedule, InstrumentState state)
{
    private const int MemoryStepS = 30;
    private readonly ConcurrentDictionary<long, Lazy<int[]>> memoryErrors = new();

    /// <summary>Numbers of the packets of a kind whose time lies in [from, to): first and one past the last.</summary>
    public (long First, long End) Numbers(HousekeepingPacket packet, Instant from, Instant to) => (NumberAtOrAfter(packet, from), NumberAtOrAfter(packet, to));

    /// <summary>Time of a packet by its number.</summary>
    public Instant TimeOf(HousekeepingPacket packet, long number) => begin.AddSeconds(number * (double)packet.PeriodS);

    /// <summary>Writes the channels of a packet into its data field.</summary>
    public void Fill(HousekeepingPacket packet, long number, Span<byte> data)
    {
        var time = TimeOf(packet, number);
        var moment = new HousekeepingMoment(seed, packet.Apid, number)
        {
            Time = time,
            UptimeS = time - begin,
            Thermal = thermal.At(time),
            Events = events,
            Schedule = schedule,
            LampFactor = state.LampFactor(time),
            MemoryErrors = MemoryErrorsAt(time),
            OrbitPhase = orbit.PhaseAt(time),
            Exposures = schedule.CountBefore(time),
        };
        var at = 0;
        foreach (var channel in packet.Channels) at += channel.Write(channel.Value(moment), data[at..]);
    }

    private long NumberAtOrAfter(HousekeepingPacket packet, Instant time)
    {
        var nanoseconds = time.TaiNanoseconds - begin.TaiNanoseconds;
        var period = packet.PeriodS * Instant.NanosecondsPerSecond;
        return nanoseconds <= 0 ? 0 : (nanoseconds + period - 1) / period;
    }

    // The counter starts anew every UTC day, so that it can be worked out for a day by itself.
    private int MemoryErrorsAt(Instant time)
    {
        var (day, nanoseconds) = time.ToUnixDay();
        if (memoryErrors.Count > 40) memoryErrors.Clear();
        var counts = memoryErrors.GetOrAdd(day, d => new Lazy<int[]>(() => CountDay(d))).Value;
        return counts[Math.Min(counts.Length - 1, (int)(nanoseconds / Instant.NanosecondsPerSecond / MemoryStepS))];
    }

    private int[] CountDay(long unixDay)
    {
        var counts = new int[86400 / MemoryStepS];
        var random = new HashRandom(seed, 0xEDAC, (ulong)unixDay);
        var midnight = Instant.FromUnixDay(unixDay, 0);
        for (var i = 1; i < counts.Length; i++)
        {
            var time = midnight.AddSeconds(i * MemoryStepS);
            var (sin, cos) = Math.SinCos(EarthModel.SiderealRad(time));
            var below = EarthModel.Geodetic(EarthModel.ToEarthFixed(orbit.StateAt(time).PositionTemeM, sin, cos));
            counts[i] = counts[i - 1] + random.NextPoisson(0.06 * MemoryStepS * state.SpikesPerS(time, below));
        }
        return counts;
    }
}
