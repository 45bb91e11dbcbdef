using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Tests.Scenario;

public class DemoScenarioTests
{
    private const string Good = """{ "schema": "phasekeeper-scenario/1", "name": "n", "seed": 1, "start": "2031-01-01T00:00:00Z", "firstNow": "2031-01-02T00:00:00Z" EVENTS }""";

    [Fact]
    public void The_shipped_scenario_has_thirty_days_of_history_and_every_kind_of_event()
    {
        var s = DemoScenario.Default;
        Assert.Equal(Instant.ParseUtc("2031-04-10T00:00:00Z"), s.Start);
        Assert.Equal(Instant.ParseUtc("2031-05-10T06:00:00Z"), s.FirstNow);
        Assert.Equal(Enum.GetValues<ScenarioEventKind>().Order(), s.Events.Select(e => e.Kind).Distinct().Order());
    }

    [Fact]
    public void The_last_day_before_now_shows_an_event_and_most_days_are_quiet()
    {
        var s = DemoScenario.Default;
        var now = (s.FirstNow - s.Start) / 3600;
        Assert.Contains(s.Events, e => e.StartHours > now - 24 && e.EndHours < now);
        var eventful = s.Events.Where(e => e.StartHours < now).SelectMany(e => new[] { (int)(e.StartHours / 24), (int)(Math.Min(e.EndHours, e.StartHours + 24) / 24) }).Distinct().Count();
        Assert.InRange(eventful, 8, 16);
    }

    [Fact]
    public void Events_keep_their_distance_when_the_start_moves()
    {
        var moved = DemoScenario.Default.StartingAt(Instant.ParseUtc("2032-01-01T00:00:00Z"));
        Assert.Equal(Instant.ParseUtc("2032-01-31T06:00:00Z"), moved.FirstNow);
        Assert.Equal(Instant.ParseUtc("2032-01-05T14:12:00Z"), moved.At(moved.Events[0].StartHours));
    }

    [Theory]
    [InlineData(""", "evnets": []""", "evnets", "$")]
    [InlineData(""", "events": [{ "name": "a", "kind": "meteor", "startHours": 1 }]""", "$.events[0].kind", "meteor|could not be converted")]
    [InlineData(""", "events": [{ "name": "a", "kind": "clockJump" }]""", "startHours", "required")]
    [InlineData(""", "events": [{ "name": "a", "kind": "clockJump", "startHours": -1 }]""", "$.events[0].startHours", "found -1; expected 0 or more")]
    [InlineData(""", "events": [{ "name": "a", "kind": "clockJump", "startHours": 1, "view": "X" }]""", "$.events[0].view", "found 'X'")]
    [InlineData(""", "events": [{ "name": "a", "kind": "clockJump", "startHours": 1 }, { "name": "a", "kind": "clockJump", "startHours": 2 }]""", "$.events[1].name", "second time")]
    public void A_mistake_is_told_with_file_path_found_and_expected(string events, string part, string other)
    {
        var e = Assert.Throws<ScenarioException>(() => DemoScenario.Parse(Good.Replace("EVENTS", events, StringComparison.Ordinal), "my.json"));
        Assert.StartsWith("my.json: ", e.Message, StringComparison.Ordinal);
        Assert.Contains(part, e.Message, StringComparison.OrdinalIgnoreCase);
        Assert.Contains(other.Split('|'), o => e.Message.Contains(o, StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public void Events_are_chosen_by_name_and_an_unknown_name_lists_the_known_ones()
    {
        Assert.Empty(DemoScenario.Default.SelectEvents("none"));
        Assert.Equal(["heater-stuck", "clock-jump"], DemoScenario.Default.SelectEvents("heater-stuck, clock-jump").Select(e => e.Name));
        var e = Assert.Throws<ScenarioException>(() => DemoScenario.Default.SelectEvents("heater"));
        Assert.Contains("found the event name 'heater'", e.Message, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("heater-stuck", e.Message, StringComparison.Ordinal);
    }
}
