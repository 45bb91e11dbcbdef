using System.Diagnostics;
using FsCheck.Xunit;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Grouping;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Flags.Grouping;

public class FlagGrouperTests(ITestOutputHelper output)
{
    private static GroupedFlag Flag(string id, FlagTopic topic, int first, int last, string? view = null, string? line = null, string? rule = null, Explanation? activity = null) => new()
    {
        Id = id,
        Rule = rule ?? topic.ToString(),
        About = $"thing {id}",
        Topic = topic,
        View = view,
        Line = line,
        From = FlagScene.Start.AddSeconds(5760.0 * first),
        FirstOrbit = first,
        LastOrbit = last,
        Activity = activity,
    };

    private static string[] Shown(IEnumerable<FlagGroup> groups) => [.. groups.Select(g => (g.Activity is null ? "" : g.Activity + ": ") + string.Join(" ", g.Members.Select(m => m.Cause is null ? m.Id : $"{m.Id}<{m.Cause}")))];

    [Fact]
    public void Heater_temperature_phase_and_visibility_are_one_group_with_the_heater_first()
    {
        var groups = FlagGrouper.Of([Flag("vis", FlagTopic.Visibility, 12, 14, "F", "green"), Flag("temp", FlagTopic.Temperature, 10, 12), Flag("phase", FlagTopic.ThermalPhase, 11, 13, "F", "green"), Flag("heat", FlagTopic.Heater, 10, 11), Flag("other", FlagTopic.Spikes, 11, 11)]);
        Assert.Equal(["heat temp<heat phase<temp vis<phase", "other"], Shown(groups));
        var why = groups[0].Members[2].Reason;
        Assert.Equal("It begins on orbit 11, during \"thing temp\" (orbits 10 to 12), and follows from it: the optics' dimensions, and with them the phase, follow the temperature, with a lag.", why);
        Assert.Contains("likely first cause", groups[0].Members[0].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_gap_brings_an_incomplete_orbit_and_a_manoeuvre_its_phase_residual()
    {
        Assert.Equal(["gap inc<gap"], Shown(FlagGrouper.Of([Flag("inc", FlagTopic.Incomplete, 7, 7), Flag("gap", FlagTopic.Gap, 7, 8)])));
        var slew = new Explanation("a1", "Slew", false);
        Assert.Equal(["Slew: mode phase"], Shown(FlagGrouper.Of([Flag("mode", FlagTopic.Attitude, 5, 5, activity: slew with { Whole = true }), Flag("phase", FlagTopic.ScenePhase, 6, 14, "F", activity: slew)])));
    }

    [Fact]
    public void Views_and_lines_that_differ_are_not_each_others_cause()
    {
        Assert.Equal(["lamp", "phase"], Shown(FlagGrouper.Of([Flag("lamp", FlagTopic.Lamp, 3, 5, "F", "green"), Flag("phase", FlagTopic.ThermalPhase, 4, 5, "A", "green")])));
        Assert.Equal(["lamp phase<lamp"], Shown(FlagGrouper.Of([Flag("lamp", FlagTopic.Lamp, 3, 5, "F"), Flag("phase", FlagTopic.ThermalPhase, 4, 5, "F", "red")])));
    }

    [Fact]
    public void One_rule_on_several_views_is_one_group_as_long_as_it_begins_together()
    {
        var flags = new[] { Flag("a", FlagTopic.Visibility, 3, 9, "F"), Flag("b", FlagTopic.Visibility, 4, 5, "A"), Flag("late", FlagTopic.Visibility, 8, 9, "A") };
        Assert.Equal(["a b<a", "late"], Shown(FlagGrouper.Of(flags)));
        Assert.Contains("1 orbit later", FlagGrouper.Of(flags)[0].Members[1].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_long_flag_does_not_tie_two_causes_together()
    {
        // The residual lasts for both heater failures; it follows from the first, and what the second brings stays with the second.
        var groups = FlagGrouper.Of([Flag("heat1", FlagTopic.Heater, 10, 11), Flag("temp1", FlagTopic.Temperature, 10, 12), Flag("long", FlagTopic.ThermalPhase, 11, 60), Flag("heat2", FlagTopic.Heater, 50, 51), Flag("temp2", FlagTopic.Temperature, 50, 52)]);
        Assert.Equal(["heat1 temp1<heat1 long<temp1", "heat2 temp2<heat2"], Shown(groups));
    }

    [Fact]
    public void What_begins_while_a_flag_outlasts_an_activity_is_not_laid_to_the_activity()
    {
        var test = new Explanation("a1", "Lamp test", true);
        Assert.Equal(["Lamp test: current voltage", "loss"], Shown(FlagGrouper.Of(
            [Flag("current", FlagTopic.LampSupply, 3, 3, activity: test), Flag("voltage", FlagTopic.LampSupply, 3, 6, rule: "v", activity: test with { Whole = false }), Flag("loss", FlagTopic.Lamp, 5, 6, "F")])));
    }

    /// <summary>The flags that the diary's events raise (DiaryTests, a run of 2026-11-30, hours 25 to 64; kinds, places and orbits as they were), and the groups that the scenario's truth asks for.</summary>
    [Fact]
    public void The_diarys_flags_group_as_the_scenarios_truth_says()
    {
        var test = new Explanation("t", "Lamp test", true);
        static ChannelFacts Facts(string name) => new(name, name.Contains("_T", StringComparison.Ordinal) ? "degC" : "A", name.StartsWith("LAMP", StringComparison.Ordinal) ? "Lamp supply" : "Temperature");
        var flags = new List<GroupedFlag>();
        void Add(string rule, string subject, int first, int last, string? view = null, string? line = null, Explanation? activity = null) => flags.Add(
            Flag($"{rule} {subject} {view}{line}".Trim(), FlagTopics.Of(rule, subject, name => name.Contains('_', StringComparison.Ordinal) ? Facts(name) : null), first, last, view, line, rule, activity) with { Charted = rule == "drift" });
        foreach (var view in new[] { "F", "A" }) Add("spike-storm", "spikes", 4197, 4197, view);
        Add("channel-limit", "LAMP_I", 4199, 4200, activity: test);
        Add("profile-change", "LAMP_T1", 4200, 4200, activity: test);
        Add("profile-change", "LAMP_V", 4200, 4202, activity: test with { Whole = false });
        foreach (var (view, line) in new[] { ("F", "green"), ("F", "red"), ("A", "green"), ("A", "red") }) Add("lamp-loss", "lamp-brightness", 4202, 4203, view, line);
        Add("image-shift-step", "image-shift", 4208, 4208, "F");
        Add("drift", "image-shift-mean", 4211, 4219, "F");
        foreach (var line in new[] { "green", "red" })
            foreach (var tracker in new[] { "scene-visibility", "lamp-visibility" }) Add("visibility-loss", tracker, 4211, 4212, "A", line);
        Add("drift", "lamp-visibility", 4212, 4214, "A");
        Add("undecodable-data", "packets", 4214, 4214);
        foreach (var apid in new[] { "110", "111", "112" }) Add("clock-jump", "APID " + apid, 4215, 4215);
        Add("data-gap", "packets", 4217, 4218);
        Add("incomplete-orbit", "completeness", 4217, 4218);
        foreach (var channel in new[] { "IFO_T1", "IFO_T2", "IFO_T3", "OB_T1" }) Add("profile-change", channel, 4219, 4221);
        foreach (var channel in new[] { "IFO_T1", "IFO_T2" }) Add("channel-limit", channel, 4219, 4221);
        Add("drift", "thermal-slope", 4219, 4219);
        foreach (var view in new[] { "F", "A" }) Add("thermal-residual", "thermal-residual-wind", 4219, 4221, view, "green");

        var groups = FlagGrouper.Of(flags);
        string[] Rules(int i) => [.. groups[i].Members.Select(m => m.Id.Split(' ')[0]).Distinct()];
        string[][] expected =
        [
            ["spike-storm"], ["channel-limit", "profile-change"], ["lamp-loss"], ["image-shift-step", "drift"], ["visibility-loss", "drift"], ["undecodable-data"], ["clock-jump"], ["data-gap", "incomplete-orbit"],
            ["channel-limit", "profile-change", "thermal-residual", "drift"],
        ];
        Assert.Equal(expected, groups.Select((_, i) => Rules(i)));
        Assert.Equal(["Lamp test"], groups.Select(g => g.Activity).OfType<string>());
        Assert.Equal(9, groups[^1].Members.Count);
        Assert.Contains("_T", groups[^1].Key, StringComparison.Ordinal);
    }

    [Fact]
    public void Chains_run_one_way_and_give_reasons()
    {
        Assert.All(KnownChains.All, c => Assert.True(c.Cause < c.Effect, $"{c.Cause} → {c.Effect} runs against the order of topics, so chains could run in circles."));
        Assert.All(KnownChains.All, c => Assert.True(c.Why.Length > 20 && !c.Why.EndsWith('.') && c.LagOrbits is >= 0 and <= 3));
        Assert.Equal(KnownChains.All.Count, KnownChains.All.Select(c => (c.Cause, c.Effect)).Distinct().Count());
    }

    /// <summary>Any flags in any order: every flag is in exactly one group, members follow from members of their group that came before, and the order in which flags are given changes nothing.</summary>
    [Property(MaxTest = 100)]
    public void Groups_are_a_partition_that_does_not_depend_on_the_order(int seed)
    {
        var random = new Random(seed);
        var flags = Enumerable.Range(0, random.Next(1, 60)).Select(i =>
        {
            var first = random.Next(40);
            return Flag($"f{i}", (FlagTopic)random.Next(Enum.GetValues<FlagTopic>().Length), first, first + random.Next(8), random.Next(3) switch { 0 => "F", 1 => "A", _ => null }, random.Next(2) == 0 ? "green" : null,
                $"rule {random.Next(8)}", random.Next(12) == 0 ? new Explanation($"act {random.Next(3)}", "Test", true) : null);
        }).ToArray();
        var groups = FlagGrouper.Of(flags);
        Assert.Equal(flags.Select(f => f.Id).Order(StringComparer.Ordinal), groups.SelectMany(g => g.Members).Select(m => m.Id).Order(StringComparer.Ordinal));
        foreach (var group in groups)
        {
            Assert.Equal(group.Key, group.Members[0].Id);
            for (var i = 0; i < group.Members.Count; i++)
            {
                Assert.NotEqual("", group.Members[i].Reason);
                if (group.Members[i].Cause is { } cause) Assert.Contains(cause, group.Members.Take(i).Select(m => m.Id));
            }
        }
        var shuffled = FlagGrouper.Of(flags.OrderBy(_ => random.Next()));
        Assert.Equal(Shown(groups), Shown(shuffled));
    }

    [Fact]
    public void Five_years_of_flags_are_grouped_whole_even_when_many_last_for_months()
    {
        var random = new Random(5);
        GroupedFlag[] flags = [.. Enumerable.Range(0, 40_000).Select(i =>
        {
            var first = random.Next(27_000);
            return Flag($"f{i}", (FlagTopic)(1 + random.Next(20)), first, first + (random.Next(10) == 0 ? 1500 : random.Next(4)), random.Next(2) == 0 ? "F" : "A", "green", $"rule {random.Next(20)}");
        })];
        var watch = Stopwatch.StartNew();
        var groups = FlagGrouper.Of(flags);
        // Told, not asserted: a machine that does other work takes longer.
        output.WriteLine($"{watch.Elapsed.TotalMilliseconds:0} ms for {flags.Length} flags in {groups.Count} groups.");
        Assert.Equal(flags.Select(f => f.Id).Order(StringComparer.Ordinal), groups.SelectMany(g => g.Members).Select(m => m.Id).Order(StringComparer.Ordinal));
        // A flag of months gathers what begins within it; it does not swallow the mission.
        Assert.InRange(groups.Max(g => g.Members.Count), 2, flags.Length / 10);
    }

    [Theory]
    [InlineData("channel-rate", "IFO_T1", FlagTopic.Temperature)]
    [InlineData("profile-change", "HTR_IFO_I", FlagTopic.Heater)]
    [InlineData("profile-change", "LAMP_V", FlagTopic.LampSupply)]
    [InlineData("profile-change", "RW1_RPM", FlagTopic.Attitude)]
    [InlineData("channel-limit", "BUS_V", FlagTopic.Other)]
    [InlineData("tracker-limit", "channel-duty:HTR_IFO_I", FlagTopic.Heater)]
    [InlineData("drift", "image-shift-slope", FlagTopic.ImageShift)]
    [InlineData("drift", "lamp-offset", FlagTopic.ThermalPhase)]
    [InlineData("channel-limit", "gone", FlagTopic.Other)]
    public void A_flags_topic_follows_from_its_rule_and_what_it_watches(string kind, string subject, FlagTopic topic)
    {
        ChannelFacts? Find(string name) => name switch
        {
            "IFO_T1" => new(name, "degC", "Temperature: interferometer"),
            "HTR_IFO_I" => new(name, "A", "Interferometer heater current"),
            "LAMP_V" => new(name, "V", "Lamp voltage"),
            "RW1_RPM" => new(name, "rpm", "Reaction wheel 1"),
            "BUS_V" => new(name, "V", "Bus voltage"),
            _ => null,
        };
        Assert.Equal(topic, FlagTopics.Of(kind, subject, Find));
    }

    [Fact]
    public void Every_kind_of_rule_has_a_topic()
    {
        // Kinds about channels and trackers are told by what they watch.
        string[] watching = ["channel-limit", "channel-rate", "profile-change", "drift", "tracker-limit"];
        foreach (var kind in Core.Flags.RuleCatalog.All.Where(k => !watching.Contains(k.Id))) Assert.NotEqual(FlagTopic.Other, FlagTopics.Of(kind.Id, "x", _ => null));
    }
}
