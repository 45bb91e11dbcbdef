using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Scenario;

public class ScenarioGeneratorTests
{
    private static readonly DemoScenario Story = DemoScenario.Default;

    [Fact]
    public void The_same_seed_gives_the_same_bytes_and_another_seed_others()
    {
        var a = new ScenarioGenerator(Story).PacketsFor(Story.At(5), Story.At(5.2));
        var b = new ScenarioGenerator(Story).PacketsFor(Story.At(5), Story.At(5.2));
        var c = new ScenarioGenerator(Story, seed: 7).PacketsFor(Story.At(5), Story.At(5.2));
        Assert.True(a.AsSpan().SequenceEqual(b));
        Assert.Equal(a.Length, c.Length);
        Assert.False(a.AsSpan().SequenceEqual(c));
    }

    [Theory]
    // An ordinary stretch, one that crosses blocks of the thermal model, damaged packets, a clock jump's end, a lost downlink's start.
    [InlineData(3.0, 3.13)]
    [InlineData(5.95, 6.08)]
    [InlineData(321.55, 321.7)]
    [InlineData(557.95, 558.05)]
    [InlineData(616.93, 617.06)]
    public void Windows_put_together_are_the_whole_whatever_was_asked_before(double fromHours, double toHours)
    {
        double[] cuts = [fromHours, fromHours + 0.0100001, fromHours + 1.0 / 30, fromHours + 0.07, toHours];
        var whole = new ScenarioGenerator(Story).PacketsFor(Story.At(fromHours), Story.At(toHours));
        var parts = new ScenarioGenerator(Story);
        var pieces = new byte[cuts.Length - 1][];
        // The last piece first, as the demo does it.
        for (var i = pieces.Length - 1; i >= 0; i--) pieces[i] = parts.PacketsFor(Story.At(cuts[i]), Story.At(cuts[i + 1]));
        Assert.NotEmpty(whole);
        Assert.True(whole.AsSpan().SequenceEqual(pieces.SelectMany(p => p).ToArray()));
    }

    [Fact]
    public void Threads_change_no_bit()
    {
        var one = new ScenarioGenerator(Story).PacketsFor(Story.At(110.1), Story.At(110.4));
        var four = new ScenarioGenerator(Story).PacketsFor(Story.At(110.1), Story.At(110.4), maxDegree: 4);
        Assert.True(one.AsSpan().SequenceEqual(four));
    }

    [Fact]
    public void Sequence_counts_run_on_without_gaps_on_a_quiet_day()
    {
        foreach (var apid in Generators.Quiet.Packets(30, 31).GroupBy(p => p.Apid))
        {
            var counts = apid.Select(p => p.Count).ToArray();
            for (var i = 1; i < counts.Length; i++) Assert.Equal((counts[i - 1] + 1) & 0x3FFF, counts[i]);
        }
    }

    [Fact]
    public void Every_checksum_fits_and_exposures_hold_all_views_lines_and_rows()
    {
        var packets = Generators.Quiet.Packets(30, 30.3);
        Assert.All(packets, p => Assert.True(p.ChecksumFits));
        Assert.All(packets.Where(p => p.Apid == 210).GroupBy(p => p.Exposure), e =>
        {
            Assert.Equal(64, e.Select(p => (p.Optics, p.Row)).Distinct().Count());
            Assert.Single(e.Select(p => (p.Kind, p.Time)).Distinct());
        });
        Assert.Equal([110, 111, 112, 210], packets.Select(p => p.Apid).Distinct().Order());
    }

    [Fact]
    public void Exposures_are_numbered_in_the_order_of_time_without_gaps()
    {
        var exposures = Generators.Quiet.Schedule.Between(Story.Start, Story.At(30));
        Assert.Equal(Enumerable.Range(1, exposures.Count).Select(i => (long)i), exposures.Select(e => e.Id));
        for (var i = 1; i < exposures.Count; i++)
            Assert.True(exposures[i].Time.AddSeconds(-exposures[i].IntegrationS / 2) >= exposures[i - 1].Time.AddSeconds(exposures[i - 1].IntegrationS / 2));
    }

    [Fact]
    public void Housekeeping_begins_three_hours_before_the_first_exposure()
    {
        var packets = PacketFile.Read(Generators.Quiet.PacketsFor(Generators.Quiet.FirstPacket.AddSeconds(-3600), Story.At(0.01)));
        Assert.Equal(Generators.Quiet.FirstPacket, packets[0].Time);
        Assert.Equal(Story.Start.AddSeconds(30), packets.First(p => p.Apid == 210).Time);
    }
}
