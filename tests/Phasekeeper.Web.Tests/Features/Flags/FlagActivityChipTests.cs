using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Web.Features.Flags;

namespace Phasekeeper.Web.Tests.Features.Flags;

/// <summary>How lists mark flags within planned activities.</summary>
public class FlagActivityChipTests
{
    private static readonly Explanation Whole = new("a", "Slew", true), Part = new("b", "Upload", false), During = new("c", "Lamp test", true);

    private static string[] Chips(Explanation[] explained, Explanation[] during, string kind = "thermal-residual")
    {
        var thing = new FlagThing(kind, "thermal-residual-wind", "F", "green");
        var from = Instant.FromUtc(2031, 4, 20);
        var flag = new Flag
        {
            Id = FlagId.Of(thing, 7),
            Thing = thing,
            RuleKind = kind,
            RuleVersion = "1-a",
            Severity = FlagSeverity.Warning,
            State = FlagState.Raised,
            From = from,
            To = from.AddSeconds(5760),
            FirstOrbit = 7,
            LastOrbit = 7,
            Value = 7,
            Limit = 5,
            Unit = "m/s",
            Message = "m",
            Evidence = new FlagEvidence(from, from.AddSeconds(60), null),
            ExplainedBy = explained,
            During = during,
        };
        return [.. FlagActivityChip.Of(FlagJson.Row(flag, from, from)).Select(c => $"{c.Text}: {c.Title}")];
    }

    [Fact]
    public void Every_flag_within_an_activity_is_marked_once_with_what_says_most()
    {
        Assert.Empty(Chips([], []));
        Assert.Equal(["planned activity: Explained by the planned activity Slew."], Chips([Part, Whole], [During]));
        Assert.Equal(["planned activity in part: Expected of the planned activity Upload, but it outlasts its settling time."], Chips([Part], [During]));
        Assert.Equal(["not expected: Begins during the planned activity Lamp test, which is not expected to cause it."], Chips([], [During]));
        // An overrun is about its activity, which its sentence names.
        Assert.Empty(Chips([], [During], "activity-overrun"));
    }
}
