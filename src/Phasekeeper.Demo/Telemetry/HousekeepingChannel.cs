namespace Phasekeeper.Demo.Telemetry;

/// <summary>One telemetry channel: how it is coded, what it means, when it alarms, and where its value comes from.</summary>
/// <param name="Name">Parameter name.</param>
/// <param name="Description">The channel in a phrase.</param>
/// <param name="Unit">Unit of the engineering value; empty for none.</param>
/// <param name="Bits">Bits in the packet: 8, 16 or 32.</param>
/// <param name="Value">Engineering value (or enumeration number) at a moment.</param>
public sealed record HousekeepingChannel(string Name, string Description, string Unit, int Bits, Func<HousekeepingMoment, double> Value)
{
    /// <summary>True for two's complement.</summary>
    public bool Signed { get; init; }
    /// <summary>Calibration; null = the raw number is the value.</summary>
    public Calibration? Calibration { get; init; }
    /// <summary>Labels of an enumerated channel by number; null = a number.</summary>
    public string[]? Labels { get; init; }
    /// <summary>Labels that alarm, with their level (warning, critical …).</summary>
    public (string Label, string Level)[] LabelAlarms { get; init; } = [];
    /// <summary>Inside this range: no warning.</summary>
    public (double? Low, double? High)? Warning { get; init; }
    /// <summary>Inside this range: not critical.</summary>
    public (double? Low, double? High)? Critical { get; init; }

    /// <summary>Writes a value as the packet's big-endian raw number, rounded and held to the field's range.</summary>
    public int Write(double value, Span<byte> into)
    {
        var raw = Math.Round(Calibration is null ? value : Calibration.RawOf(value));
        var low = Signed ? -Math.Pow(2, Bits - 1) : 0;
        var high = Signed ? Math.Pow(2, Bits - 1) - 1 : Math.Pow(2, Bits) - 1;
        var number = (long)Math.Clamp(raw, low, high);
        for (var i = Bits / 8 - 1; i >= 0; i--, number >>= 8) into[i] = (byte)number;
        return Bits / 8;
    }
}

/// <summary>A housekeeping packet: container name, APID, seconds between packets, channels in the order of the packet.</summary>
public sealed record HousekeepingPacket(string Container, string Description, int Apid, int PeriodS, IReadOnlyList<HousekeepingChannel> Channels)
{
    /// <summary>Length of the packet, bytes.</summary>
    public int Length { get; } = PacketBuilder.HeaderBytes + Channels.Sum(c => c.Bits / 8) + PacketBuilder.TrailerBytes;
}
