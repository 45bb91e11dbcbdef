using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Pipeline.Tests.Engine;

/// <summary>The order in which packets arrive, how they are cut into files and how often they come change no product, bit for bit.</summary>
public class OrderOfArrivalTests
{
    private static readonly ScenarioGenerator Generator = new(DemoScenario.Default);
    private static readonly Instant Start = DemoScenario.Default.Start.AddSeconds(2 * 86400);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public async Task Shuffled_cut_and_repeated_packets_give_the_same_products(int seed)
    {
        // Two and a half orbits, so that baselines, neighbours and hours that two orbits share all play a part.
        var bytes = Generator.PacketsFor(Start, Start.AddSeconds(14_400));
        using var whole = await TestMission.StartAsync(Generator);
        await whole.TakeAsync(bytes);
        await whole.DrainAsync();

        using var pieces = await TestMission.StartAsync(Generator);
        var random = new Random(seed);
        var packets = Cut(bytes, pieces);
        foreach (var _ in Enumerable.Range(0, packets.Count / 10)) packets.Add(packets[random.Next(packets.Count)]);
        // Mostly in order (a downlink), but with stretches out of place, and drained in between.
        var batches = packets.Chunk(packets.Count / 12 + 1).OrderBy(_ => random.Next()).ToArray();
        foreach (var batch in batches)
        {
            var shuffled = batch.OrderBy(_ => random.Next());
            await pieces.TakeAsync([.. shuffled.SelectMany(p => p)]);
            if (random.Next(3) == 0) await pieces.DrainAsync();
        }
        await pieces.DrainAsync();

        var (expected, found) = (whole.Products(), pieces.Products());
        Assert.True(expected == found, FirstDifference(expected, found));
        Assert.True(whole.Stores.Fringes.Size().Count > 300);
        Assert.Equal(whole.Stores.Ingest.Totals().Stored, pieces.Stores.Ingest.Totals().Stored);
    }

    [Fact]
    public async Task An_hour_that_arrives_minute_by_minute_has_every_exposure_to_its_end()
    {
        // The last ten minutes of an hour also touch the next hour's exposures through the temperatures near the common edge.
        var bytes = Generator.PacketsFor(Start, Start.AddSeconds(7200));
        using var whole = await TestMission.StartAsync(Generator);
        await whole.TakeAsync(bytes);
        await whole.DrainAsync();

        using var live = await TestMission.StartAsync(Generator);
        for (var s = 0; s < 7200; s += 300)
        {
            await live.TakeAsync(Generator.PacketsFor(Start.AddSeconds(s), Start.AddSeconds(s + 300)));
            await live.DrainAsync();
        }

        Assert.Equal(whole.Stores.Fringes.Size().Count, live.Stores.Fringes.Size().Count);
        var (expected, found) = (whole.Products(), live.Products());
        Assert.True(expected == found, FirstDifference(expected, found));
    }

    [Fact]
    public async Task Live_data_are_at_every_stop_what_the_same_packets_give_at_once()
    {
        // Long enough that mission time passes the reach of the first orbits, at moments that are no ends of orbits or hours.
        using var live = await TestMission.StartAsync(Generator);
        var fed = 0.0;
        foreach (var stop in new[] { 3.3, 5.2, 7.4 })
        {
            for (; fed < stop - 1e-9; fed = Math.Min(stop, fed + 0.7))
            {
                await live.TakeAsync(Generator.PacketsFor(Start.AddSeconds(fed * 3600), Start.AddSeconds(Math.Min(stop, fed + 0.7) * 3600)));
                await live.DrainAsync();
            }
            using var whole = await TestMission.StartAsync(Generator);
            await whole.TakeAsync(Generator.PacketsFor(Start, Start.AddSeconds(stop * 3600)));
            await whole.DrainAsync();
            var (expected, found) = (whole.Products(), live.Products());
            Assert.True(expected == found, $"After {stop} h, {FirstDifference(expected, found)}");
        }
        // The first orbit's wait is over, the last one's is not.
        var orbits = live.Stores.Orbits.Rows(0, int.MaxValue);
        Assert.False(orbits[0].Provisional);
        Assert.True(orbits[^1].Provisional);
    }

    [Fact]
    public async Task A_day_that_arrives_before_an_earlier_one_counts_its_first_orbit_whole()
    {
        // Further apart than baselines reach: nothing but the mission's first exposure ties the two together.
        var (early, late) = (Generator.PacketsFor(Start, Start.AddSeconds(1200)), Generator.PacketsFor(Start.AddSeconds(86400), Start.AddSeconds(86400 + 1200)));
        using var inOrder = await TestMission.StartAsync(Generator);
        using var backwards = await TestMission.StartAsync(Generator);
        foreach (var (mission, first, second) in new[] { (inOrder, early, late), (backwards, late, early) })
        {
            await mission.TakeAsync(first);
            await mission.DrainAsync();
            await mission.TakeAsync(second);
            await mission.DrainAsync();
        }
        var (expected, found) = (inOrder.Products(), backwards.Products());
        Assert.True(expected == found, FirstDifference(expected, found));
        Assert.True(backwards.Stores.Orbits.Newest(1)[0].ExpectedExposures > backwards.Stores.Orbits.Newest(1)[0].ReceivedExposures);
    }

    private static List<byte[]> Cut(byte[] bytes, TestMission mission) =>
        [.. PacketFramer.Frame(bytes, mission.Folder.Plan.FramingRules).Packets.Select(p => bytes[p.Offset..(p.Offset + p.Length)])];

    internal static string FirstDifference(string expected, string found)
    {
        var (a, b) = (expected.Split('\n'), found.Split('\n'));
        for (var i = 0; i < Math.Min(a.Length, b.Length); i++)
            if (a[i] != b[i]) return $"line {i}:\n{a[i][..Math.Min(500, a[i].Length)]}\n{b[i][..Math.Min(500, b[i].Length)]}";
        return $"{a.Length} and {b.Length} lines";
    }
}
