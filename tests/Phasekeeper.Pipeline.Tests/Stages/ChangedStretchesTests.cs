using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Stages;

public class ChangedStretchesTests
{
    private const long TheHour = 500_000;

    [Fact]
    public void Packets_at_one_end_of_an_hour_touch_only_that_end()
    {
        var packets = Packets(0, 60, 120, 1800, 1860);
        var stretch = Assert.Single(ChangedStretches.Of(Hour(packets), [Covered(packets[..3])]));
        Assert.Equal((packets[3].Time, packets[4].Time), (stretch.Start, stretch.End));
    }

    [Fact]
    public void Nothing_new_touches_nothing()
    {
        var packets = Packets(0, 60, 120);
        Assert.Empty(ChangedStretches.Of(Hour(packets), [Covered(packets)]));
    }

    [Fact]
    public void A_packet_that_fills_a_gap_touches_the_whole_hour()
    {
        var packets = Packets(0, 60, 120);
        var stretch = Assert.Single(ChangedStretches.Of(Hour(packets), [Covered([packets[0], packets[2]])]));
        Assert.Equal((Storage.Hour.Start(TheHour), Storage.Hour.End(TheHour)), (stretch.Start, stretch.End));
    }

    [Fact]
    public void A_conflict_touches_the_whole_hour()
    {
        var packets = Packets(0, 60);
        var hour = new PacketHour(TheHour, packets, [new PacketConflict(packets[0], packets[1])]);
        Assert.Equal(3600, Assert.Single(ChangedStretches.Of(hour, [Covered(packets)])).Seconds);
    }

    private static ArchivedPacket[] Packets(params int[] seconds) =>
        [.. seconds.Select((s, i) => ArchivedPacket.Of(Storage.Hour.Start(TheHour).AddSeconds(s), 100, i, new byte[] { 1, (byte)i }))];

    private static PacketHour Hour(ArchivedPacket[] packets) => new(TheHour, packets, []);

    private static CoverageRow Covered(ArchivedPacket[] packets) => new()
    {
        Hour = TheHour,
        Apid = 100,
        Count = packets.Length,
        FirstTime = packets[0].Time,
        LastTime = packets[^1].Time,
        FirstSequence = packets[0].Place.SequenceCount,
        LastSequence = packets[^1].Place.SequenceCount,
    };
}
