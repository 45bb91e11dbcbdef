using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Ccsds;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Packets.Xtce;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Samples of one telemetry channel, in the order of the packets that carried them.</summary>
/// <param name="Channel">What the definition says of it.</param>
public sealed record CollectedChannel(ChannelInfo Channel)
{
    /// <summary>Packet times.</summary>
    public List<Instant> Times { get; } = [];
    /// <summary>Calibrated values; for an enumerated channel its raw number; NaN where the calibrator gives none.</summary>
    public List<double> Values { get; } = [];
    /// <summary>Raw numbers of a channel with a calibrator; otherwise none.</summary>
    public List<double> Raw { get; } = [];
    /// <summary>The calibrator where no context says otherwise; null for none.</summary>
    public Calibrator? Calibrator { get; init; }
}

/// <summary>One detector row as it was received.</summary>
/// <param name="Row">Exposure, kind, view, line, row, integration.</param>
/// <param name="Middle">Middle of the exposure.</param>
/// <param name="Packet">The packet that carried it.</param>
/// <param name="Counts">Its samples.</param>
public sealed record ReceivedRow(FringeRow Row, Instant Middle, ArchivedPacket Packet, ushort[] Counts);

/// <summary>A packet that is in the archive but that the definition in force cannot decode.</summary>
public sealed record UndecodedPacket(ArchivedPacket Packet, Refusal Refusal);

/// <summary>All that the packets of one hour say.</summary>
public sealed record DecodedHour(
    long Hour, IReadOnlyList<CollectedChannel> Channels, IReadOnlyList<ReceivedRow> Rows, IReadOnlyList<UndecodedPacket> Undecoded);

/// <summary>Decodes packets of the archive, in their canonical order. Same packets, same definition: same result.</summary>
public sealed class HourDecoder(DecodingPlan plan, MissionProfile profile)
{
    private readonly FringeRowReader? rowReader = plan.HasFringe ? new FringeRowReader(plan, profile.Instrument) : null;
    private readonly ChannelInfo?[] channelOfSlot = ChannelsBySlot(plan);

    /// <summary>Decodes an hour's packets (those in use, canonical order).</summary>
    public DecodedHour Decode(long hour, IReadOnlyList<ArchivedPacket> packets)
    {
        var values = plan.CreateValues();
        var channels = new SortedDictionary<string, CollectedChannel>(StringComparer.Ordinal);
        var rows = new List<ReceivedRow>();
        var undecoded = new List<UndecodedPacket>();
        foreach (var packet in packets)
        {
            if (!plan.TryDecode(packet.Bytes.Span, values))
            {
                undecoded.Add(new(packet, values.Refusal!));
                continue;
            }
            if (values.Container is { IsFringe: true })
            {
                if (rowReader!.TryRead(values, out var row, out var refusal)) rows.Add(new(row, Middle(packet.Time, row.IntegrationS), packet, values.Samples.ToArray()));
                else undecoded.Add(new(packet, refusal!));
                continue;
            }
            Collect(values, packet.Time, channels);
        }
        return new(hour, [.. channels.Values], rows, undecoded);
    }

    private void Collect(PacketValues values, Instant time, SortedDictionary<string, CollectedChannel> channels)
    {
        foreach (var slot in values.PresentSlots)
        {
            if (channelOfSlot[slot] is not { } channel) continue;
            if (!channels.TryGetValue(channel.Name, out var samples)) channels.Add(channel.Name, samples = new CollectedChannel(channel) { Calibrator = channel.Parameter.Labels is null ? plan.CalibratorOf(slot) : null });
            samples.Times.Add(time);
            samples.Values.Add(channel.Parameter.Labels is null ? values.Value(slot) : values.RawNumber(slot));
            if (samples.Calibrator is not null) samples.Raw.Add(values.RawNumber(slot));
        }
    }

    private Instant Middle(Instant packetTime, double integrationS) => profile.Fringe!.TimeTag switch
    {
        TimeTag.Start => packetTime.AddSeconds(integrationS / 2),
        TimeTag.End => packetTime.AddSeconds(-integrationS / 2),
        _ => packetTime,
    };

    private static ChannelInfo?[] ChannelsBySlot(DecodingPlan plan)
    {
        var bySlot = new ChannelInfo?[plan.Parameters.Count];
        foreach (var channel in plan.Channels) bySlot[channel.Slot] = channel;
        return bySlot;
    }
}
