using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Assessment;

/// <summary>Steps of people and of rules on a real store.</summary>
public sealed class FlagStepsTests : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2031, 3, 2, 8);
    private static readonly Actor Kim = new("kim", Roles.Operator, "10.0.0.1"), Ada = new("ada", Roles.Analyst, "10.0.0.2"), Vic = new("vic", Roles.Viewer, "10.0.0.3");
    private static readonly FlagTeam Team = new([new("kim", true), new("ada", true), new("vic", false)], FlagCauses.Default);
    private static readonly LifeStep Take = new(LifeStepKind.Take);

    private readonly string folder = Path.Combine(Path.GetTempPath(), "pk-flags-" + Guid.NewGuid().ToString("N"));
    private readonly Stores stores;
    private readonly ChangeFeed changes = new(TimeProvider.System);
    private readonly FlagSteps steps;
    private readonly FlagTalk talk;

    public FlagStepsTests()
    {
        stores = Stores.Open(folder);
        steps = new(stores, changes, TimeProvider.System);
        talk = new(stores, changes, TimeProvider.System);
    }

    public void Dispose()
    {
        stores.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    private static Flag Flag(int first, int last, FlagSeverity severity = FlagSeverity.Warning)
    {
        var thing = new FlagThing("lamp-loss", "lamp-brightness", "F", "green");
        var (from, to) = (Now.AddSeconds(5760.0 * first), Now.AddSeconds(5760.0 * (last + 1)));
        return new()
        {
            Id = FlagId.Of(thing, first),
            Thing = thing,
            RuleKind = "lamp-loss",
            RuleVersion = "1",
            Severity = severity,
            State = FlagState.Raised,
            From = from,
            To = to,
            FirstOrbit = first,
            LastOrbit = last,
            Value = 30,
            Limit = 20,
            Unit = "%",
            Message = $"Lamp down on orbits {first} to {last}.",
            Evidence = new(from, to),
        };
    }

    private Task Rules(params FlagChange[] found) => stores.Database.WriteAsync(t => FlagWriter.Write(t, found, Now));

    private async Task<Flag> RaisedAsync(int first, int last)
    {
        var flag = Flag(first, last);
        await Rules(new FlagChange(FlagChangeKind.Raise, null, flag, "The rule found the condition."));
        return flag;
    }

    private FlagRow Row(Flag flag) => stores.Flags.Get(flag.Id)!;

    private string[] Kinds() => [.. Enumerable.Range(1, (int)stores.Record.Head().Entries).Select(n => stores.Record.Get(n)!.What)];

    [Fact]
    public async Task A_step_is_taken_with_its_entry_in_the_record_and_told_to_open_pages()
    {
        var flag = await RaisedAsync(3, 4);
        var heard = new List<Change>();
        using var stop = new CancellationTokenSource(TimeSpan.FromSeconds(30));
        var listening = Task.Run(async () =>
        {
            await foreach (var set in changes.SubscribeAsync(TimeSpan.Zero, stop.Token))
            {
                heard.AddRange(set);
                break;
            }
        });
        while (changes.Subscribers == 0) await Task.Delay(5, stop.Token);
        var row = await steps.TakeAsync(new(flag.Id, 0), Take, Kim, Team);
        await listening;
        Assert.Equal(("taken", "kim", 1L), (row.State, row.Holder, row.Revision));
        Assert.Equal(ChangeKind.Flag, Assert.Single(heard).Kind);
        var entry = stores.Record.Get(1)!;
        Assert.Equal(("kim", "operator", "10.0.0.1", "flag.take", flag.Id), (entry.Person, entry.Role, entry.Address, entry.What, entry.Subject));
        Assert.Contains("\"state\":\"raised\"", entry.Before, StringComparison.Ordinal);
        Assert.Contains("\"holder\":\"kim\"", entry.After, StringComparison.Ordinal);
        // The rules' own table says nothing of people.
        Assert.Equal(FlagState.Raised, FlagJson.Read(row).State);
    }

    [Fact]
    public async Task Of_two_at_once_one_is_told_who_did_what_and_can_go_on()
    {
        var flag = await RaisedAsync(3, 4);
        var tries = await Task.WhenAll(new[] { Kim, Ada }.Select(async who =>
        {
            try
            {
                await steps.TakeAsync(new(flag.Id, 0), Take with { Note = "mine" }, who, Team);
                return (Who: who, Refused: (FlagConflictException?)null);
            }
            catch (FlagConflictException conflict)
            {
                return (Who: who, Refused: conflict);
            }
        }));
        var (winner, loser) = (Assert.Single(tries, t => t.Refused is null).Who, Assert.Single(tries, t => t.Refused is not null));
        Assert.Equal(winner.Name, Row(flag).Holder);
        Assert.Equal(1, loser.Refused!.Revision);
        Assert.Matches($"moved on since you looked \\(revision 0 then, 1 now\\)\\. {winner.Name} took it at 20\\d\\d-\\d\\d-\\d\\d \\d\\d:\\d\\d:\\d\\d UTC: mine\\. Your step was not taken", loser.Refused.Message);
        Assert.Single(Kinds());
        // Sent again with what is known now.
        await steps.TakeAsync(new(flag.Id, loser.Refused.Revision), Take with { Note = "I was at it already" }, loser.Who, Team);
        Assert.Equal(loser.Who.Name, Row(flag).Holder);
    }

    [Fact]
    public async Task Many_at_once_lose_nobodys_step_unseen()
    {
        var flag = await RaisedAsync(3, 4);
        await steps.TakeAsync(new(flag.Id, null), Take, Kim, Team);
        // Each writes down an explanation of what it read; everybody who is not told otherwise stands in the history.
        var told = 0;
        await Task.WhenAll(Enumerable.Range(0, 40).Select(i => Task.Run(async () =>
        {
            var saw = Row(flag).Revision;
            try
            {
                await steps.TakeAsync(new(flag.Id, saw), new(LifeStepKind.Explain, $"because {i}", "unknown"), i % 2 == 0 ? Kim : Ada, Team);
            }
            catch (FlagConflictException)
            {
                Interlocked.Increment(ref told);
            }
        })));
        var history = stores.FlagLives.Steps(flag.Id).Where(s => s.Step == "explain").ToList();
        Assert.Equal(40, history.Count + told);
        Assert.Equal(history.Count, history.Select(s => s.Revision).Distinct().Count());
        Assert.Equal(history.Count + 1, stores.Record.Head().Entries);
        Assert.Equal(history[^1].Note, stores.FlagLives.Get(flag.Id).Explanation);
    }

    [Fact]
    public async Task Many_flags_take_a_step_together_and_each_refusal_stands_for_itself()
    {
        var (a, b, c) = (await RaisedAsync(3, 4), await RaisedAsync(10, 11), await RaisedAsync(20, 21));
        await steps.TakeAsync(new(b.Id, 0), Take, Ada, Team);
        var settle = new LifeStep(LifeStepKind.Settle, "lamp test", "planned activity");
        var results = await steps.TakeManyAsync([new(a.Id, 0), new(b.Id, 0), new(c.Id, 0), new("none", null), new(a.Id, 0)], settle, Kim, Team);
        Assert.Equal(["settled", null, "settled", null], results.Select(r => r.Flag?.State));
        Assert.Contains("ada took it", results[1].Refusal, StringComparison.Ordinal);
        Assert.Contains("no flag with the id 'none'", results[3].Refusal, StringComparison.Ordinal);
        Assert.Equal(["flag.take", "flag.settle", "flag.settle"], Kinds());
        Assert.Contains("expected 1 to 300", (await Assert.ThrowsAsync<FlagRefusedException>(() => steps.TakeManyAsync([], settle, Kim, Team))).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_viewer_takes_no_step_and_says_nothing()
    {
        var flag = await RaisedAsync(3, 4);
        Assert.Contains("role operator", (await Assert.ThrowsAsync<FlagRefusedException>(() => steps.TakeAsync(new(flag.Id, 0), Take, Vic, Team))).Message, StringComparison.Ordinal);
        await Assert.ThrowsAsync<FlagRefusedException>(() => talk.CommentAsync(flag.Id, "hello", Vic, Team));
        Assert.Contains("may look but not work", (await Assert.ThrowsAsync<FlagRefusedException>(() => steps.TakeAsync(new(flag.Id, 0), new(LifeStepKind.HandOver, To: "VIC"), Kim, Team))).Message, StringComparison.Ordinal);
        Assert.Contains("nobody called 'zoe'", (await Assert.ThrowsAsync<FlagRefusedException>(() => steps.TakeAsync(new(flag.Id, 0), new(LifeStepKind.HandOver, To: "zoe"), Kim, Team))).Message, StringComparison.Ordinal);
        await Assert.ThrowsAsync<KeyNotFoundException>(() => steps.TakeAsync(new("none", null), Take, Kim, Team));
        Assert.Empty(Kinds());
    }

    [Fact]
    public async Task A_comment_mentions_people_and_an_unknown_name_sends_nothing()
    {
        var flag = await RaisedAsync(3, 4);
        Assert.Contains("nobody called 'zoe'", (await Assert.ThrowsAsync<FlagRefusedException>(() => talk.CommentAsync(flag.Id, "ask @zoe", Kim, Team))).Message, StringComparison.Ordinal);
        Assert.Equal(["ada", "vic"], await talk.CommentAsync(flag.Id, " ask @ada or @Vic, @ada. ", Kim, Team));
        var mention = Assert.Single(stores.FlagTalk.Mentions("vic", 10));
        Assert.Equal(("kim", "ask @ada or @Vic, @ada.", flag.Id, "raised"), (mention.Actor, mention.Note, mention.Flag, mention.State));
        Assert.Equal(["flag.comment"], Kinds());
        // A comment refuses nobody's step.
        await steps.TakeAsync(new(flag.Id, 0), Take, Ada, Team);
    }

    [Fact]
    public async Task Links_and_plots_stand_with_the_flag_and_in_the_record()
    {
        var (a, b) = (await RaisedAsync(3, 4), await RaisedAsync(10, 11));
        await talk.LinkAsync(a.Id, $"http://localhost/flags/{b.Id}?x=1", Kim);
        Assert.Equal(b.Id, Assert.Single(stores.FlagTalk.Linked(a.Id)).Id);
        Assert.Equal("link", stores.FlagLives.Steps(b.Id)[^1].Step);
        Assert.Contains("linked already", (await Assert.ThrowsAsync<FlagRefusedException>(() => talk.LinkAsync(b.Id, a.Id, Ada))).Message, StringComparison.Ordinal);
        Assert.Contains("not linked with itself", (await Assert.ThrowsAsync<FlagRefusedException>(() => talk.LinkAsync(b.Id, b.Id, Ada))).Message, StringComparison.Ordinal);
        await talk.UnlinkAsync(b.Id, a.Id, Ada);
        var plot = await talk.AttachAsync(a.Id, "Lamp", "/api/v1/plots/x", "{\"title\":1}", "see the step", Kim);
        Assert.Equal("{\"title\":1}", stores.FlagTalk.Document(a.Id, plot));
        var large = await Assert.ThrowsAsync<FlagRefusedException>(() => talk.AttachAsync(a.Id, "Lamp", "/api/v1/plots/x", new string(' ', FlagTalk.LargestDocument + 1), null, Kim));
        Assert.Contains("4.0 MiB of data; at most 4 MiB are kept", large.Message, StringComparison.Ordinal);
        Assert.Equal(["flag.link", "flag.unlink", "flag.attach"], Kinds());
    }

    [Fact]
    public async Task New_data_reopen_what_was_settled_with_the_reason_and_keep_whose_it_is()
    {
        var flag = await RaisedAsync(3, 4);
        await steps.TakeAsync(new(flag.Id, 0), new(LifeStepKind.Settle, "lamp test", "planned activity"), Kim, Team);
        await Rules(new FlagChange(FlagChangeKind.Extend, flag, Flag(3, 6), "goes on"));
        Assert.Equal("settled", Row(flag).State);
        await Rules(new FlagChange(FlagChangeKind.Extend, Flag(3, 6), Flag(3, 7, FlagSeverity.Critical), "Grew from warning to critical."));
        Assert.Equal(("reopened", "kim", "planned activity"), (Row(flag).State, Row(flag).Holder, Row(flag).Cause));
        Assert.Equal([("raise", "rules", "raised"), ("settle", "kim", "settled"), ("worsen", "rules", "settled"), ("reopen", "rules", "reopened")], stores.FlagLives.Steps(flag.Id).Select(s => (s.Step, s.Actor, s.State)));
        Assert.Equal(["flag.settle", "flag.reopen"], Kinds());
        Assert.Equal("system", stores.Record.Get(2)!.Person);
        // Someone who still looks at the settled flag is told by whom it was reopened.
        var late = await Assert.ThrowsAsync<FlagConflictException>(() => steps.TakeAsync(new(flag.Id, 1), new(LifeStepKind.Reopen, "again"), Ada, Team));
        Assert.Contains("The rules reopened it", late.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Withdrawn_and_back_keeps_every_step_and_a_flag_that_takes_over_goes_on_with_them()
    {
        var flag = await RaisedAsync(5, 5);
        await steps.TakeAsync(new(flag.Id, 0), Take, Kim, Team);
        var gone = flag with { State = FlagState.Withdrawn, WithdrawnReason = "no ground" };
        await Rules(new FlagChange(FlagChangeKind.Withdraw, flag, gone, "no ground"));
        Assert.Equal(("withdrawn", "kim"), (Row(flag).State, Row(flag).Holder));
        await Assert.ThrowsAsync<FlagConflictException>(() => steps.TakeAsync(new(flag.Id, 1), Take, Ada, Team));
        await Rules(new FlagChange(FlagChangeKind.Reraise, gone, flag, "back"));
        Assert.Equal(("taken", "kim"), (Row(flag).State, Row(flag).Holder));

        // An earlier orbit makes it another flag, into which this one is joined.
        var heir = Flag(4, 5);
        await Rules(new FlagChange(FlagChangeKind.Raise, null, heir, "carries on") { TakesOver = [flag.Id] },
            new FlagChange(FlagChangeKind.Merge, flag, flag with { State = FlagState.Withdrawn, ContinuedBy = heir.Id, WithdrawnReason = "joined" }, "joined"));
        Assert.Equal(("taken", "kim"), (Row(heir).State, Row(heir).Holder));
        Assert.Equal(["raise", "inherit"], stores.FlagLives.Steps(heir.Id).Select(s => s.Step));
        Assert.Equal(flag.Id, Assert.Single(stores.FlagTalk.Linked(heir.Id)).Id);
        Assert.Equal(["raise", "take", "withdraw", "reraise", "merge"], stores.FlagLives.Steps(flag.Id).Select(s => s.Step));
        Assert.Equal(["flag.take", "flag.inherit"], Kinds());
    }
}
