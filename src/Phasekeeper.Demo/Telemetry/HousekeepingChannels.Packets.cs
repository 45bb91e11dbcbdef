namespace Phasekeeper.Demo.Telemetry;

/// <summary>Which packets come down. In a file of its own: the benchmarks build the same mission with more channels at a higher rate.</summary>
public static partial class HousekeepingChannels
{
    /// <summary>The packets of housekeeping.</summary>
    public static IReadOnlyList<HousekeepingPacket> Packets => Table;
}
