using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Stages;

public sealed class StreamGapsTests
{
    [Fact]
    public void Packets_that_lack_over_whole_hours_are_a_gap()
    {
        var gap = Assert.Single(StreamChecks.GapsBetween([Row(10, 110, 600, 0, 99), Row(12, 110, 900, 250, 300), Row(10, 111, 0, 5, 9), Row(11, 111, 0, 10, 20)]));
        Assert.Equal((110, 150.0, StreamStore.Gap), (gap.Apid, gap.Amount, gap.Kind));
        Assert.Equal((Hour.Start(10).AddSeconds(1200), Hour.Start(12).AddSeconds(900)), (gap.From, gap.To));
    }

    [Fact]
    public void Counts_that_begin_again_are_none() => Assert.Empty(StreamChecks.GapsBetween([Row(10, 110, 0, 16_000, 16_383), Row(11, 110, 0, 0, 50)]));

    [Fact]
    public void Packets_out_of_order_at_the_end_of_an_hour_are_none() => Assert.Empty(StreamChecks.GapsBetween([Row(10, 110, 2999, 0, 100), Row(11, 110, 0, 99, 150)]));

    // First packet so many seconds into the hour, the last 600 s later.
    private static CoverageRow Row(long hour, int apid, double startS, int first, int last) => new()
    {
        Hour = hour,
        Apid = apid,
        Count = 1,
        FirstTime = Hour.Start(hour).AddSeconds(startS),
        LastTime = Hour.Start(hour).AddSeconds(startS + 600),
        FirstSequence = first,
        LastSequence = last,
    };
}
