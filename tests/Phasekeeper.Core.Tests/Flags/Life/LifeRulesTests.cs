using FsCheck.Xunit;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Core.Tests.Flags.Life;

public class LifeRulesTests
{
    private static readonly FlagSight Sight = new(FlagSeverity.Warning, 3, 5);
    private static readonly LifeStep ToTake = new(LifeStepKind.Take), ToExplain = new(LifeStepKind.Explain, "heater off", "instrument"), ToSettle = new(LifeStepKind.Settle);

    private static FlagLife After(FlagLife life, LifeStep step, string by = "kim") => Outcome(life, step, by).After ?? throw new InvalidOperationException(Outcome(life, step, by).Refusal);

    private static LifeRules.Outcome Outcome(FlagLife life, LifeStep step, string by = "kim") => LifeRules.Take(life, step, by, true, Sight, FlagCauses.Default);

    [Fact]
    public void A_flag_is_taken_explained_settled_and_reopened()
    {
        var taken = After(FlagLife.Fresh, ToTake);
        Assert.Equal((LifeState.Taken, "kim", 1, Sight), (taken.State, taken.Holder, taken.Revision, taken.Seen));
        var explained = After(taken, ToExplain, "ada");
        Assert.Equal((LifeState.Explained, "kim", "instrument", "heater off"), (explained.State, explained.Holder, explained.Cause, explained.Explanation));
        var settled = After(explained, ToSettle with { Note = "commanded on" });
        Assert.Equal((LifeState.Settled, "instrument", "heater off"), (settled.State, settled.Cause, settled.Explanation));
        var again = After(settled, new(LifeStepKind.Reopen, "off once more"), "ada");
        Assert.Equal((LifeState.Reopened, "kim", 4), (again.State, again.Holder, again.Revision));
        Assert.True(again.Waits);
    }

    [Fact]
    public void It_is_handed_over_and_released()
    {
        var taken = After(FlagLife.Fresh, ToTake);
        Assert.Equal("ada", After(taken, new(LifeStepKind.HandOver, To: " ada ")).Holder);
        var free = After(taken, new(LifeStepKind.Release));
        Assert.Equal((LifeState.Raised, null), (free.State, free.Holder));
        Assert.Equal((LifeState.Taken, "ada"), (After(FlagLife.Fresh, new(LifeStepKind.HandOver, To: "ada")).State, After(FlagLife.Fresh, new(LifeStepKind.HandOver, To: "ada")).Holder));
    }

    [Theory]
    [InlineData("take", "kim", "You have this flag already")]
    [InlineData("take", "ada", "kim has this flag. Taking it over needs a note")]
    [InlineData("release", "ada", "Releasing it for them needs a note")]
    [InlineData("reopen", "kim", "The flag is taken, so there is nothing to reopen")]
    [InlineData("explain", "kim", "An explanation needs a cause: one of instrument, environment")]
    [InlineData("settle", "kim", "The flag is not explained. State its cause")]
    [InlineData("hand-over", "kim", "Say to whom")]
    public void What_a_step_lacks_is_told(string word, string by, string why)
    {
        var outcome = Outcome(After(FlagLife.Fresh, ToTake), new(LifeStep.KindOf(word)!.Value), by);
        Assert.Null(outcome.After);
        Assert.Contains(why, outcome.Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_cause_is_one_of_the_missions_list()
    {
        Assert.Contains("Found the cause 'gremlins'; expected one of this mission's list: instrument,", Outcome(FlagLife.Fresh, ToExplain with { Cause = "gremlins" }).Refusal, StringComparison.Ordinal);
        Assert.Contains("goes with the steps explain and settle only", Outcome(FlagLife.Fresh, ToTake with { Cause = "instrument" }).Refusal, StringComparison.Ordinal);
        Assert.Contains("4001 characters; at most 4000", Outcome(FlagLife.Fresh, ToTake with { Note = new('x', 4001) }).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_withdrawn_flag_takes_no_step_and_a_viewer_takes_none()
    {
        foreach (var kind in Enum.GetValues<LifeStepKind>())
        {
            var step = new LifeStep(kind, "note", kind is LifeStepKind.Explain or LifeStepKind.Settle ? "unknown" : null, "ada");
            Assert.Contains("withdrawn", Outcome(After(FlagLife.Fresh, ToTake) with { Stands = false }, step).Refusal, StringComparison.Ordinal);
            Assert.Contains("operator", LifeRules.Take(FlagLife.Fresh, step, "kim", false, Sight, FlagCauses.Default).Refusal, StringComparison.Ordinal);
        }
        Assert.Empty(LifeRules.Allowed(FlagLife.Fresh, "kim", false));
        Assert.Equal([LifeStepKind.Take, LifeStepKind.HandOver, LifeStepKind.Explain, LifeStepKind.Settle], LifeRules.Allowed(FlagLife.Fresh, "kim", true));
    }

    /// <summary>Any walk of steps: what is offered is never refused for the state, every step counts the revision up by one, and a refusal changes nothing.</summary>
    [Property(MaxTest = 200)]
    public void Offered_steps_can_be_taken_and_others_cannot(int seed)
    {
        var random = new Random(seed);
        var life = FlagLife.Fresh;
        for (var i = 0; i < 20; i++)
        {
            var by = random.Next(2) == 0 ? "kim" : "ada";
            var kind = (LifeStepKind)random.Next(6);
            var step = new LifeStep(kind, "because", kind is LifeStepKind.Explain or LifeStepKind.Settle ? "unknown" : null, kind == LifeStepKind.HandOver ? (life.Holder == "kim" ? "ada" : "kim") : null);
            var outcome = Outcome(life, step, by);
            Assert.Equal(LifeRules.Allowed(life, by, true).Contains(kind), outcome.Refusal is null);
            if (outcome.After is not { } after) continue;
            Assert.Equal(life.Revision + 1, after.Revision);
            Assert.True(after.State is LifeState.Raised or LifeState.Reopened || after.Holder is not null || kind == LifeStepKind.Release || life.Holder is null);
            life = after;
        }
    }

    [Theory]
    [InlineData("Thanks @kim, and @ada lovell: see @kim's note.", "kim,ada lovell", "")]
    [InlineData("@Ada Lovell.", "ada lovell", "")]
    [InlineData("@ada and @kimono", "ada", "kimono")]
    [InlineData("mail a@kim.example", "", "")]
    [InlineData("@nobody, @nobody!", "", "nobody")]
    [InlineData("a lone @ sign", "", "")]
    public void Mentions_are_of_people_that_there_are(string text, string people, string unknown)
    {
        var found = Mentions.In(text, ["kim", "ada", "ada lovell"]);
        Assert.Equal((people, unknown), (string.Join(',', found.People), string.Join(',', found.Unknown)));
    }
}
