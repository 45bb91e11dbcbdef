using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Assessment;

public sealed class DataGapsTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 12, 12);
    private static readonly Instant End = Start.AddSeconds(5700);

    [Fact]
    public void A_gap_across_the_orbits_start_counts_from_where_it_began() =>
        Assert.Equal(3000, Longest(End, (-7000, -1000), (2000, 5600)));

    [Fact]
    public void A_gap_across_the_end_counts_up_to_there_and_whole_in_the_next_orbit()
    {
        Assert.Equal(700, Longest(End, (0, 5000)));
        var next = DataGaps.LongestS([Row(0, 5000), Row(9000, 11_000)], End, End.AddSeconds(5700), Start.AddSeconds(11_000));
        Assert.Equal(4000, next);
    }

    [Fact]
    public void A_gap_that_ended_before_the_orbit_is_not_its_own() =>
        Assert.Equal(100, Longest(End, (-9000, -8000), (-1000, 5600)));

    [Fact]
    public void Streams_that_overlap_leave_no_gap_and_data_begin_without_one()
    {
        Assert.Equal(0, Longest(End, (2000, 5700), (2500, 4000)));
        Assert.Equal(0, Longest(Start.AddSeconds(3000), (500, 3000)));
        Assert.Equal(400, Longest(Start.AddSeconds(3400), (500, 3000)));
        Assert.Equal(0, Longest(End));
    }

    private static double Longest(Instant missionTime, params (double From, double To)[] packets) => DataGaps.LongestS([.. packets.Select(p => Row(p.From, p.To))], Start, End, missionTime);

    private static CoverageRow Row(double from, double to) => new()
    {
        Hour = Hour.Of(Start.AddSeconds(from)),
        Apid = 100,
        Count = 10,
        FirstTime = Start.AddSeconds(from),
        LastTime = Start.AddSeconds(to),
        FirstSequence = 0,
        LastSequence = 9,
    };
}
