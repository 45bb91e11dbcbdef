using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Today;

namespace Phasekeeper.Web.Tests.Features.Today;

public sealed class FlagGroupsTests
{
    private static readonly Instant Start = Instant.FromUtc(2031, 3, 1);

    [Fact]
    public void Flags_of_one_rule_over_touching_stretches_are_one_story_with_the_worst_first()
    {
        var groups = FlagGroups.Of([Flag("a", "residual", 0, 10, 12), Flag("b", "residual", 5, 20, 24), Flag("c", "residual", 20, 30, 15), Flag("d", "gap", 0, 10, 11)]);
        Assert.Equal([["b", "c", "a"], ["d"]], groups.Select(group => group.Select(flag => flag.Id).ToArray()));
    }

    [Fact]
    public void A_later_stretch_of_the_same_rule_is_another_story()
    {
        var groups = FlagGroups.Of([Flag("late", "residual", 100, 110, 12), Flag("early", "residual", 0, 10, 12)]);
        Assert.Equal([["early"], ["late"]], groups.Select(group => group.Select(flag => flag.Id).ToArray()));
    }

    [Fact]
    public void A_critical_flag_goes_before_a_warning_that_is_further_out()
    {
        var groups = FlagGroups.Of([Flag("far", "residual", 0, 10, 90), Flag("critical", "residual", 0, 10, 12, "critical")]);
        Assert.Equal("critical", Assert.Single(groups)[0].Id);
    }

    [Fact]
    public void Without_flags_there_is_nothing_to_tell() => Assert.Empty(FlagGroups.Of([]));

    private static FlagRow Flag(string id, string rule, double fromS, double toS, double value, string severity = "warning") => new()
    {
        Id = id,
        Rule = rule,
        RuleVersion = "1",
        Subject = "s",
        Severity = severity,
        State = "raised",
        From = Start.AddSeconds(fromS),
        To = Start.AddSeconds(toS),
        Value = value,
        Limit = 10,
        Unit = "m/s",
        Message = "m",
        Body = "{}",
        Raised = Start,
        Changed = Start,
    };
}
