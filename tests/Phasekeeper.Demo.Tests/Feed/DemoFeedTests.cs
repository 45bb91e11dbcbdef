using Phasekeeper.Demo.Feed;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Feed;

public class DemoFeedTests
{
    private static readonly DemoScenario Story = DemoScenario.Default;
    private static readonly ScenarioGenerator Generator = Generators.Eventful;

    [Fact]
    public void The_newest_orbit_comes_first_and_the_history_covers_everything_once()
    {
        var packets = new DemoFeed(Generator).History.Where(i => i.Kind is FeedItemKind.Recent or FeedItemKind.History).ToList();
        Assert.Equal(Story.FirstNow, packets[0].To);
        for (var i = 1; i < packets.Count; i++) Assert.Equal(packets[i - 1].From, packets[i].To);
        Assert.Equal(Generator.FirstPacket, packets[^1].From);
        Assert.All(packets, p => Assert.InRange(p.To - p.From, 1, Generator.Orbit.PeriodS + 1));
        Assert.InRange(packets.Count(p => p.Kind == FeedItemKind.Recent), 15, 17);
        Assert.All(packets.SkipWhile(p => p.Kind == FeedItemKind.Recent), p => Assert.Equal(FeedItemKind.History, p.Kind));
        Assert.Equal(packets.Count, packets.Select(p => p.FileName).Distinct().Count());
    }

    [Fact]
    public void A_file_holds_the_packets_of_its_window()
    {
        var item = new DemoFeed(Generators.Quiet).NextHistory()!;
        var content = new DemoFeed(Generators.Quiet).Content(item);
        Assert.NotEmpty(content);
        Assert.True(content.AsSpan().SequenceEqual(Generators.Quiet.PacketsFor(item.From, item.To)));
    }

    [Fact]
    public void After_a_restart_the_feed_goes_on_where_it_stopped()
    {
        var feed = new DemoFeed(Generator);
        for (var i = 0; i < 5; i++) feed.Written(feed.NextHistory()!);
        var live = feed.NextLive(Story.FirstNow.AddSeconds(100))!;
        feed.Written(live);
        var again = new DemoFeed(Generator, FeedState.FromJson(feed.State.ToJson()));
        Assert.Equal(feed.NextHistory(), again.NextHistory());
        Assert.Equal(feed.History[5], again.NextHistory());
        Assert.Equal(Story.FirstNow.AddSeconds(100), again.State.LiveTo);
        Assert.Equal(feed.HistoryShare, again.HistoryShare);
    }

    [Fact]
    public void Live_data_follow_without_gap_or_overlap_in_files_of_at_most_an_orbit()
    {
        var feed = new DemoFeed(Generator);
        Assert.Null(feed.NextLive(Story.FirstNow.AddSeconds(29)));
        var at = Story.FirstNow;
        foreach (var seconds in new[] { 31.0, 150, 20_000, 40_000, 40_100 })
        {
            var now = Story.FirstNow.AddSeconds(seconds);
            while (feed.NextLive(now) is { } item)
            {
                feed.Written(item);
                if (item.Kind != FeedItemKind.Live) continue;
                Assert.Equal(at, item.From);
                Assert.InRange(item.To - item.From, 0.1, Generator.Orbit.PeriodS + 1);
                at = item.To;
            }
            Assert.InRange(now - at, 0, DemoFeed.LiveStepS);
        }
    }

    [Fact]
    public void A_repeated_downlink_is_handed_over_once_when_its_time_has_come()
    {
        var feed = new DemoFeed(Generator);
        var delivered = Generator.LateDownlinks.Single().Delivered;
        Assert.DoesNotContain(feed.History, i => i.Kind == FeedItemKind.Late);
        Assert.DoesNotContain(Drain(feed, delivered.AddSeconds(-1)), i => i.Kind == FeedItemKind.Late);
        var late = Assert.Single(Drain(feed, delivered.AddSeconds(100)), i => i.Kind == FeedItemKind.Late);
        Assert.NotEmpty(feed.Content(late));
        var again = new DemoFeed(Generator, FeedState.FromJson(feed.State.ToJson()));
        Assert.DoesNotContain(Drain(again, delivered.AddSeconds(20_000)), i => i.Kind == FeedItemKind.Late);
    }

    [Fact]
    public void A_downlink_repeated_before_now_is_part_of_the_history()
    {
        var past = Story with { Events = [new ScenarioEvent { Name = "gap", Kind = ScenarioEventKind.LostDownlink, StartHours = 700, DurationHours = 1, DeliveredHours = 705 }] };
        var history = new DemoFeed(new ScenarioGenerator(past)).History;
        var late = Assert.Single(history, i => i.Kind == FeedItemKind.Late);
        var before = history[history.ToList().IndexOf(late) - 1];
        Assert.True(before.From <= late.From && late.From < before.To);
    }

    [Fact]
    public void A_new_orbit_file_comes_before_the_old_one_ends()
    {
        var feed = new DemoFeed(Generator);
        var end = feed.State.OrbitTo;
        Assert.Equal(DemoFeed.OrbitAheadS, end - Story.FirstNow);
        var item = feed.NextLive(end.AddSeconds(-DemoFeed.OrbitMarginS + 1))!;
        Assert.Equal(FeedItemKind.Orbit, item.Kind);
        Assert.True(item.From < end && item.To - end > 20 * 86400.0);
        Assert.StartsWith("CCSDS_OEM_VERS", System.Text.Encoding.ASCII.GetString(feed.Content(item)), StringComparison.Ordinal);
        feed.Written(item);
        Assert.NotEqual(FeedItemKind.Orbit, feed.NextLive(end)!.Kind);
    }

    [Fact]
    public void Noting_a_file_out_of_turn_and_a_state_of_another_seed_are_refused()
    {
        var feed = new DemoFeed(Generator);
        Assert.Contains("expected", Assert.Throws<InvalidOperationException>(() => feed.Written(feed.History[3])).Message, StringComparison.Ordinal);
        var other = feed.State with { Seed = 1 };
        Assert.Contains("seed 1", Assert.Throws<ScenarioException>(() => new DemoFeed(Generator, other)).Message, StringComparison.Ordinal);
        Assert.Contains("Feed state", Assert.Throws<ScenarioException>(() => FeedState.FromJson("{}")).Message, StringComparison.Ordinal);
        Assert.Contains("Feed state", Assert.Throws<ScenarioException>(() => FeedState.FromJson("not json")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Simulated_time_passes_at_the_speed_that_is_set()
    {
        var clock = new SimulatedClock(Story.FirstNow, 60);
        Assert.Equal(Story.FirstNow.AddSeconds(120), clock.Advance(2));
        clock.SetSpeed(0);
        Assert.Equal(Story.FirstNow.AddSeconds(120), clock.Advance(1000));
        clock.SetSpeed(1);
        Assert.Equal(Story.FirstNow.AddSeconds(121.5), clock.Advance(1.5));
        Assert.Throws<ArgumentOutOfRangeException>(() => clock.SetSpeed(-1));
        Assert.Throws<ArgumentOutOfRangeException>(() => clock.Advance(double.NaN));
    }

    private static List<FeedItem> Drain(DemoFeed feed, Phasekeeper.Core.Time.Instant now)
    {
        var items = new List<FeedItem>();
        while (feed.NextLive(now) is { } item)
        {
            items.Add(item);
            feed.Written(item);
        }
        return items;
    }
}
