namespace Phasekeeper.Demo.Telemetry;

/// <summary>The demo's packets, each a twelfth as often.</summary>
public static partial class HousekeepingChannels
{
    private const int Thinned = 12;

    // Lazy: the table stands in another file, whose fields may be set later.
    private static readonly Lazy<HousekeepingPacket[]> Sparse = new(Thin);

    /// <summary>The packets of housekeeping.</summary>
    public static IReadOnlyList<HousekeepingPacket> Packets => Sparse.Value;

    private static HousekeepingPacket[] Thin() => [.. Table.Select(p => p with { PeriodS = p.PeriodS * Thinned })];
}
