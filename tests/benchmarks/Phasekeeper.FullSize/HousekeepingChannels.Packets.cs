namespace Phasekeeper.Demo.Telemetry;

/// <summary>A hundred channels at 1 Hz: the demo's channels, and redundant sensors of the same kinds with noise of their own.</summary>
public static partial class HousekeepingChannels
{
    private const int ChannelCount = 100;

    private static readonly Lazy<HousekeepingPacket[]> Full = new(AtOneHertz);

    /// <summary>The packets of housekeeping.</summary>
    public static IReadOnlyList<HousekeepingPacket> Packets => Full.Value;

    private static HousekeepingPacket[] AtOneHertz() => [.. Table.Select(p => p with { PeriodS = 1 }), .. Redundant()];

    private static IEnumerable<HousekeepingPacket> Redundant()
    {
        var (left, copy) = (ChannelCount - Table.Sum(p => p.Channels.Count), 0);
        for (var round = 2; left > 0; round++)
            foreach (var packet in Table)
            {
                HousekeepingChannel[] channels = [.. packet.Channels.Take(left).Select(c => c with { Name = $"{c.Name}_R{round}", Description = $"{c.Description}, redundant sensor {round}" })];
                if (channels.Length == 0) yield break;
                left -= channels.Length;
                // Not "with": the length of a packet follows from its channels.
                yield return new(packet.Container + "R" + round, packet.Description + ", redundant sensors", 120 + copy++, 1, channels);
            }
    }
}
