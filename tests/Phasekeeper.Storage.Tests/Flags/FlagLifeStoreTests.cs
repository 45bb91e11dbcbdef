using System.Globalization;
using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using static Phasekeeper.Storage.Tests.TempStores;

namespace Phasekeeper.Storage.Tests.Flags;

public sealed class FlagLifeStoreTests
{
    private static FlagRow Row(string id, double fromS = 0, string state = "raised", string severity = "warning") => new()
    {
        Id = id,
        Rule = "rule",
        RuleVersion = "1",
        Subject = "s",
        Severity = severity,
        State = state,
        From = Now.AddSeconds(fromS),
        To = Now.AddSeconds(fromS + 10),
        FirstOrbit = (int)fromS,
        LastOrbit = (int)fromS,
        Unit = "1",
        Message = "m " + id,
        Body = "{}",
        Raised = Now,
        Changed = Now,
    };

    private static readonly FlagLife Taken = FlagLife.Fresh with { State = LifeState.Taken, Holder = "kim", Cause = "unknown", Explanation = "why", Revision = 1, Seen = new(FlagSeverity.Critical, 3, 5, "F green") };

    [Fact]
    public async Task A_life_is_kept_whole_and_rules_that_write_the_flag_again_change_nothing_of_it()
    {
        using var temp = new TempStores();
        await temp.Write(t => FlagStore.Put(t, Row("a"), "raise", "rules"));
        await temp.Write(t => Assert.True(FlagLifeStore.Save(t, "a", FlagLife.Fresh, Taken)));
        Assert.Equal(Taken, temp.Stores.FlagLives.Get("a"));
        await temp.Write(t => FlagStore.Put(t, Row("a", -50, severity: "critical"), null, "rules"));
        Assert.Equal(Taken, temp.Stores.FlagLives.Get("a"));
        await temp.Write(t => FlagStore.Put(t, Row("a", -50, "withdrawn"), "withdraw", "rules"));
        Assert.Equal(Taken with { Stands = false }, temp.Stores.FlagLives.Get("a"));
        Assert.Equal("withdrawn", temp.Stores.Flags.Get("a")!.State);
        Assert.Equal("withdrawn", temp.Stores.FlagLives.Steps("a")[^1].State);
        await temp.Write(t => FlagStore.Put(t, Row("a"), "reraise", "rules"));
        Assert.Equal(("taken", "kim"), (temp.Stores.Flags.Get("a")!.State, temp.Stores.Flags.Get("a")!.Holder));
    }

    [Fact]
    public async Task A_life_is_saved_over_the_revision_that_was_read_alone()
    {
        using var temp = new TempStores();
        await temp.Write(t => FlagStore.Put(t, Row("a"), "raise", "rules"));
        await temp.Write(t => Assert.True(FlagLifeStore.Save(t, "a", FlagLife.Fresh, Taken)));
        await temp.Write(t => Assert.False(FlagLifeStore.Save(t, "a", FlagLife.Fresh, Taken with { Holder = "ada" })));
        Assert.Equal("kim", temp.Stores.FlagLives.Get("a").Holder);
    }

    [Fact]
    public async Task Rules_write_their_own_states_alone() => await Assert.ThrowsAsync<ArgumentException>(async () =>
    {
        using var temp = new TempStores();
        await temp.Write(t => FlagStore.Put(t, Row("a", state: "taken"), null, "rules"));
    });

    [Fact]
    public async Task Lists_are_narrowed_and_go_on_newest_first()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            for (var i = 0; i < 7; i++)
            {
                FlagStore.Put(t, Row($"f{i}", i, i == 6 ? "withdrawn" : "raised"), "raise", "rules");
                if (i % 2 == 0) FlagLifeStore.Save(t, $"f{i}", FlagLife.Fresh, Taken with { Cause = i == 0 ? "instrument" : "unknown", Holder = i == 4 ? "ada" : "kim" });
            }
        });
        string Of(FlagQuery query) => string.Join(' ', temp.Stores.Flags.Newest(query, 10).Items.Select(f => f.Id));
        Assert.Equal("f5 f4 f3 f2 f1 f0", Of(new()));
        Assert.Equal("f6 f5 f4 f3 f2 f1 f0", Of(new() { WithWithdrawn = true }));
        Assert.Equal("f5 f3 f1", Of(new() { State = "raised" }));
        Assert.Equal("f6", Of(new() { State = "withdrawn" }));
        Assert.Equal("f2 f0", Of(new() { Holder = "kim" }));
        Assert.Equal("f6", Of(new() { Holder = "kim", State = "withdrawn" }));
        Assert.Equal("f0", Of(new() { Holder = "kim", Cause = "instrument" }));
        Assert.Equal("f4 f2", Of(new() { Cause = "unknown", State = "taken" }));
        Assert.Equal("f3", Of(new() { Orbit = 3 }));
        Assert.Equal("", Of(new() { From = Now.AddSeconds(100) }));
        Assert.Equal("f3 f2 f1 f0", Of(new() { Until = Now.AddSeconds(4) }));
        Assert.Equal("f4", Of(new() { Words = "F4" }));
        Assert.Equal("", Of(new() { Words = "f_" }));
        var first = temp.Stores.Flags.Newest(new(), 4);
        Assert.Equal(["f1", "f0"], temp.Stores.Flags.Newest(new(), 4, first.Next).Items.Select(f => f.Id));
        Assert.Equal(["f2", "f3"], temp.Stores.Flags.Beginning(Now.AddSeconds(2), Now.AddSeconds(4), 10).Select(f => f.Id).Order());
    }

    [Fact]
    public void Lists_of_years_are_searches_of_an_index()
    {
        const string flag = "flag USING INDEX sqlite_autoindex_flag_1 (id=?)", life = "l USING PRIMARY KEY (flag=?)";
        QueryPlan.IsSearches(FlagStore.NewestSql(new()), "flagFrom ((from,id)<(", life);
        QueryPlan.IsSearches(FlagStore.NewestSql(new() { State = "raised" }), "flagLifeShown (shown=? AND (from,flag)<(", flag);
        QueryPlan.IsSearches(FlagStore.NewestSql(new() { Holder = "kim", State = "taken" }), "flagLifeHolder (holder=? AND (from,flag)<(", flag);
        QueryPlan.IsSearches(FlagStore.NewestSql(new() { Cause = "unknown" }), "flagLifeCause (cause=? AND (from,flag)<(", flag);
        QueryPlan.IsSearches(FlagStore.BeginningSql, "flagFrom (from>? AND from<?)", life);
        QueryPlan.IsSearches(FlagLifeStore.AfterSql, "flagStep USING INTEGER PRIMARY KEY (rowid>?)");
        QueryPlan.IsSearches(FlagTalkStore.MentionsSql, "m USING PRIMARY KEY (person=?)", "s USING INTEGER PRIMARY KEY", "f USING INDEX sqlite_autoindex_flag_1 (id=?)", life);
    }

    [Fact]
    public async Task Steps_of_all_flags_are_one_sequence_that_is_read_on_from()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            FlagStore.Put(t, Row("a"), FlagStepWords.Raise, "rules", "found");
            FlagStore.Put(t, Row("b"), FlagStepWords.Raise, "rules");
        });
        var seen = temp.Stores.FlagLives.LastStep;
        await temp.Write(t => FlagLifeStore.AddStep(t, new() { Flag = "a", Time = Now, Step = FlagStepWords.Explain, State = "explained", Actor = "kim", Role = "operator", Note = "why", Severity = "warning", Cause = "unknown", Other = "x", Revision = 4 }));
        var step = Assert.Single(temp.Stores.FlagLives.After(seen));
        Assert.Equal(("a", "explain", "explained", "kim", "operator", "why", "warning", "unknown", "x", 4L), (step.Flag, step.Step, step.State, step.Actor, step.Role, step.Note, step.Severity, step.Cause, step.Other, step.Revision));
        Assert.Equal(["a", "b", "a"], temp.Stores.FlagLives.After(0).Select(s => s.Flag));
        await temp.Write(t => Assert.Equal("explain", Assert.Single(FlagLifeStore.Since(t, "a", 3)).Step));
        foreach (var sql in new[] { "UPDATE flagStep SET note = 'x'", "DELETE FROM flagStep" })
            Assert.Contains("kept", (await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)))).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Mentions_links_and_plots_are_kept()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            foreach (var id in new[] { "a", "b" }) FlagStore.Put(t, Row(id), "raise", "rules");
            for (var i = 0; i < 3; i++)
            {
                var step = FlagLifeStore.AddStep(t, new() { Flag = "a", Time = Now.AddSeconds(i), Step = FlagStepWords.Comment, State = "raised", Actor = "kim", Note = string.Create(CultureInfo.InvariantCulture, $"@ada {i}") });
                FlagTalkStore.Mention(t, "a", step, "ada");
            }
            Assert.True(FlagTalkStore.Link(t, "a", "b", "kim", Now));
            Assert.False(FlagTalkStore.Link(t, "b", "a", "ada", Now));
        });
        Assert.Equal(["@ada 2", "@ada 1"], temp.Stores.FlagTalk.Mentions("ada", 2).Select(m => m.Note));
        Assert.Empty(temp.Stores.FlagTalk.Mentions("kim", 2));
        Assert.Equal(("a", "b"), (temp.Stores.FlagTalk.Linked("b").Single().Id, temp.Stores.FlagTalk.Linked("a").Single().Id));
        var document = $$"""{"title":"π","traces":[{{string.Join(',', Enumerable.Range(0, 50_000))}}]}""";
        long plot = 0;
        await temp.Write(t =>
        {
            var step = FlagLifeStore.AddStep(t, new() { Flag = "a", Time = Now, Step = FlagStepWords.Attach, State = "raised", Actor = "kim", Note = "look" });
            plot = FlagTalkStore.Attach(t, new() { Flag = "a", Step = step, Title = "T", Url = "/api/v1/plots/x", Actor = "kim", Time = Now }, document);
        });
        Assert.Equal(document, temp.Stores.FlagTalk.Document("a", plot));
        Assert.Null(temp.Stores.FlagTalk.Document("b", plot));
        var row = Assert.Single(temp.Stores.FlagTalk.Plots("a"));
        Assert.Equal(("T", "/api/v1/plots/x", "kim", "look"), (row.Title, row.Url, row.Actor, row.Note));
        Assert.True(temp.Stores.Database.Read(c => c.ExecuteScalar<long>("SELECT length(document) FROM flagPlot")) < row.Length / 2);
        await temp.Write(t => Assert.True(FlagTalkStore.Unlink(t, "b", "a")));
        Assert.Empty(temp.Stores.FlagTalk.Linked("a"));
    }
}
