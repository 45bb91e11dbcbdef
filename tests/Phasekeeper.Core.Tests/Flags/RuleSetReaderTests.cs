using Phasekeeper.Core.Flags;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Flags;

public class RuleSetReaderTests
{
    [Fact]
    public void The_example_file_is_read_and_written_back_the_same()
    {
        var set = RuleSetReader.Read(File.ReadAllText(ReferenceFiles.PathOf("rules-example.json")), "rules-example.json");
        Assert.Equal("example 1", set.Name);
        var heater = set.Find("interferometer-temperature")!;
        Assert.Equal((2, 18.0, 22.0, 17.0), (heater.Version, heater["warningLow"], heater["warningHigh"], heater["criticalLow"]));
        Assert.True(double.IsNaN(heater["noticeLow"]));
        Assert.True(double.IsNaN(set.Find("thermal-residual")!["criticalLimit"]));
        Assert.False(set.Find("late-data")!.Enabled);
        var text = RuleSetWriter.Write(set);
        Assert.Equal(text, RuleSetWriter.Write(RuleSetReader.Read(text, "again")));
        Assert.Equal(set.Rules.Select(r => r.Id + r.VersionText), RuleSetReader.Read(text, "again").Rules.Select(r => r.Id + r.VersionText));
    }

    [Fact]
    public void The_default_rules_survive_writing_and_reading()
    {
        var set = DefaultRules.For(["IFO_T1"]);
        var again = RuleSetReader.Read(RuleSetWriter.Write(set), "defaults");
        Assert.Equal(set.Rules.Select(r => r.Id + r.VersionText), again.Rules.Select(r => r.Id + r.VersionText));
    }

    [Fact]
    public void All_mistakes_are_reported_together_with_path_found_and_expected()
    {
        const string Text = """
            {
              "schema": "phasekeeper-rules/2", "colour": 1,
              "rules": [
                { "kind": "thermal-residual", "parameters": { "warningLimit": "ten", "persistenceOrbits": 1.5, "limit": 3 } },
                { "kind": "thermal", "id": "a" },
                { "id": "Bad Id", "kind": "tracker-limit", "parameters": { "warningLimit": 1 } },
                { "id": "x", "kind": "data-gap", "view": "F", "trackers": ["a"], "enabled": "yes", "version": 0 },
                { "id": "x", "kind": "channel-limit", "channels": ["T", ""], "parameters": { "warningLow": 5, "warningHigh": 4, "hysteresisPercent": 80 } },
                { "id": "y", "id": "y", "kind": "dark-growth", "parameters": { "noticeLimit": 40, "useProvisional": 1 } }
              ]
            }
            """;
        var error = Assert.Throws<RuleSetException>(() => RuleSetReader.Read(Text, "rules.json"));
        Assert.StartsWith("rules.json: 19 mistakes in the rules.", error.Message, StringComparison.Ordinal);
        string[] expected =
        [
            "$.colour: unknown key; expected one of schema, name, rules",
            "$.schema: found 'phasekeeper-rules/2'; expected 'phasekeeper-rules/1'",
            "$.rules[0].parameters.limit: unknown key",
            "$.rules[0].parameters.warningLimit: found the text 'ten'; expected a number from 0 to 1e+12 (m/s)",
            "$.rules[0].parameters.persistenceOrbits: found 1.5; expected a whole number from 1 to 45 (orbits)",
            "$.rules[1].kind: found 'thermal'; expected one of thermal-residual, phase-residual",
            "$.rules[2].id: found 'Bad Id'; expected lower-case letters, digits and single hyphens",
            "$.rules[2]: the key 'trackers' is missing or empty",
            "$.rules[3].trackers: a rule of kind 'data-gap' does not watch trackers",
            "$.rules[3].version: found the number 0; expected a whole number from 1",
            "$.rules[3].enabled: found the text 'yes'; expected true or false",
            "$.rules[3].view: found 'F'; a rule of kind 'data-gap' is not per view",
            "$.rules[4].channels[1]: found an empty text",
            "$.rules[4].parameters.hysteresisPercent: found 80; expected a number from 0 to 50 (%)",
            "$.rules[4].parameters: warningLow 5 is above warningHigh 4",
            "$.rules[4].id: found 'x' a second time",
            "$.rules[5].id: the key is there twice; expected it once",
            "$.rules[5].parameters.useProvisional: found the number 1; expected true or false",
            "$.rules[5].parameters: the warning limit 30 is below the notice limit 40",
        ];
        var lines = error.Errors.Select(e => $"{e.Path}: {e.Message}").ToList();
        Assert.Equal(expected.Length, lines.Count);
        foreach (var e in expected) Assert.Contains(lines, l => l.StartsWith(e, StringComparison.Ordinal));
    }

    [Fact]
    public void Broken_json_names_the_line()
    {
        var error = Assert.Throws<RuleSetException>(() => RuleSetReader.Read("{\n\"schema\": \n}", "rules.json"));
        Assert.Contains("rules.json: 1 mistake", error.Message, StringComparison.Ordinal);
        Assert.Contains("line 3", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Channels_are_chosen_by_name_or_pattern()
    {
        var rule = FlagScene.Rule("channel-limit") with { Channels = ["HTR_*_T", "IFO_T1"] };
        Assert.True(rule.WatchesChannel("HTR_A_T"));
        Assert.True(rule.WatchesChannel("IFO_T1"));
        Assert.False(rule.WatchesChannel("IFO_T12"));
        Assert.False(rule.WatchesChannel("HTR_T"));
    }
}
