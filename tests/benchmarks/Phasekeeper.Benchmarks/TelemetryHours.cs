using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Demo.Telemetry;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Benchmarks;

/// <summary>The demo's housekeeping as the decoder gives it, hour by hour: all of its channels, with their noise, at their cadence (10 s and 30 s) or at one of the bench's.</summary>
internal static class TelemetryHours
{
    /// <param name="folder">Where the profile goes.</param>
    /// <param name="days">Days.</param>
    /// <param name="periodS">Seconds between packets of every kind; null = the demo's.</param>
    /// <param name="mission">The profile.</param>
    public static List<DecodedHour> Make(string folder, int days, int? periodS, out MissionFolder mission)
    {
        var generator = new ScenarioGenerator(DemoScenario.Default);
        generator.WriteProfile(folder);
        mission = MissionFolder.Load(folder);
        var timeline = new EventTimeline(generator.Scenario.Start, generator.Events);
        var synthesizer = new HousekeepingSynthesizer(generator.FirstPacket, generator.Seed, generator.Orbit, generator.Thermal, timeline, generator.Schedule, generator.State);
        var kinds = HousekeepingChannels.Packets.Select(p => p with { PeriodS = periodS ?? p.PeriodS }).ToArray();
        var first = Hour.Of(generator.FirstPacket) + 1;
        var decoded = new DecodedHour[24 * days];
        var (plan, profile) = (mission.Plan, mission.Profile);
        Parallel.For(0, decoded.Length, i => decoded[i] = new HourDecoder(plan, profile).Decode(first + i, Packets(synthesizer, kinds, first + i)));
        return [.. decoded];
    }

    private static List<ArchivedPacket> Packets(HousekeepingSynthesizer synthesizer, HousekeepingPacket[] kinds, long hour)
    {
        var packets = new List<ArchivedPacket>();
        foreach (var kind in kinds)
        {
            var (from, end) = synthesizer.Numbers(kind, Hour.Start(hour), Hour.End(hour));
            for (var n = from; n < end; n++)
            {
                var bytes = new byte[kind.Length];
                synthesizer.Fill(kind, n, bytes.AsSpan(PacketBuilder.HeaderBytes..^PacketBuilder.TrailerBytes));
                var time = synthesizer.TimeOf(kind, n);
                PacketBuilder.Seal(bytes, kind.Apid, n, time);
                packets.Add(ArchivedPacket.Of(time, kind.Apid, (int)(n & 0x3FFF), bytes));
            }
        }
        packets.Sort(ArchivedPacket.Canonical);
        return packets;
    }
}
