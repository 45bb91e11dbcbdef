using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Rules;

/// <summary>What the store itself refuses about versions of the rules, whoever asks and by whatever road.</summary>
public class RuleStoreTests
{
    private static readonly Instant Now = TempStores.Now;

    [Fact]
    public async Task A_mission_begins_with_the_rules_of_its_profile_and_only_they_need_no_person()
    {
        using var temp = await Begun();
        var version = Assert.Single(temp.Stores.Rules.Versions());
        Assert.Equal((1L, null, "profile"), (version.Id, version.FromOrbit, version.Actor));
        Assert.Equal(RefusalKind.Forbidden, (await Refused(temp, Row(RuleWords.Approved, "profile") with { Role = Roles.System })).Kind);
    }

    [Fact]
    public async Task A_proposer_decides_nothing_about_the_own_change_under_any_spelling_of_the_name()
    {
        using var temp = await Begun();
        foreach (var name in new[] { "ada", "Ada", " ADA " })
            foreach (var decision in new[] { RuleWords.Approved, RuleWords.Declined })
                Assert.Equal(RefusalKind.Forbidden, (await Refused(temp, Row(decision, name))).Kind);
        await temp.Write(t => Approve(t, Row(RuleWords.Approved, "bea")));
        Assert.Equal(RuleWords.Approved, temp.Stores.Rules.Get(2)!.State);
        Assert.Equal([null, 7], temp.Stores.Rules.Versions().Select(v => v.FromOrbit));
    }

    [Theory]
    [InlineData(Roles.Viewer)]
    [InlineData(Roles.Operator)]
    [InlineData(Roles.Analyst)]
    [InlineData(Roles.Administrator)]
    public async Task Only_a_calibration_lead_decides(string role)
    {
        using var temp = await Begun();
        Assert.Equal(RefusalKind.Forbidden, (await Refused(temp, Row(RuleWords.Approved, "bea") with { Role = role })).Kind);
    }

    [Fact]
    public async Task A_proposal_is_decided_once_and_withdrawn_by_its_proposer_alone()
    {
        using var temp = await Begun();
        Assert.Equal(RefusalKind.Forbidden, (await Refused(temp, Row(RuleWords.Withdrawn, "bea"))).Kind);
        await temp.Write(t => RuleStore.Decide(t, Row(RuleWords.Withdrawn, "ada") with { Role = Roles.Analyst }));
        foreach (var row in new[] { Row(RuleWords.Approved, "bea"), Row(RuleWords.Declined, "bea"), Row(RuleWords.Withdrawn, "ada") with { Role = Roles.Analyst } })
            Assert.Equal(RefusalKind.Conflict, (await Refused(temp, row)).Kind);
    }

    [Fact]
    public async Task Of_two_decisions_at_once_one_stands()
    {
        using var temp = await Begun();
        Task[] tries = [.. new[] { "bea", "cleo" }.Select(name => temp.Write(t => Approve(t, Row(RuleWords.Approved, name))))];
        await Task.WhenAll(tries).ContinueWith(_ => { }, TaskScheduler.Default);
        Assert.Equal(1, tries.Count(t => t.IsCompletedSuccessfully));
        Assert.IsType<DecisionRefusedException>(Assert.Single(tries, t => t.IsFaulted).Exception!.InnerException);
        Assert.Equal(2, temp.Stores.Rules.Versions().Count);
    }

    [Fact]
    public async Task A_version_needs_an_approval_and_begins_at_or_after_the_one_before()
    {
        using var temp = await Begun();
        await temp.Write(t => Approve(t, Row(RuleWords.Approved, "bea")));
        await temp.Write(t => RuleStore.Propose(t, Proposal("cleo", "{\"c\":1}")));
        var early = Row(RuleWords.Approved, "bea") with { Proposal = 3, FromOrbit = 6 };
        Assert.Equal(RefusalKind.Conflict, (await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => Approve(t, early)))).Kind);
        var declined = Row(RuleWords.Declined, "bea") with { Proposal = 3 };
        await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => RuleStore.AddVersion(t, RuleStore.Decide(t, declined), declined, "{}")));
        await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => RuleStore.AddVersion(t, 2, early with { FromOrbit = 99 }, "{}")));
    }

    [Theory]
    [InlineData("ruleProposal", "reason = 'x'")]
    [InlineData("ruleEvidence", "document = '{}'")]
    [InlineData("ruleDecision", "note = 'x'")]
    [InlineData("ruleVersion", "rules = '{}'")]
    [InlineData("knownEvent", "what = 'x'")]
    public async Task Nothing_is_changed_deleted_or_replaced(string table, string change)
    {
        using var temp = await Begun();
        await temp.Write(t => RuleStore.AddEvidence(t, new(0, 2, "{}", Now, "v")));
        await temp.Write(t => KnownEventStore.Add(t, Known()));
        foreach (var sql in new[] { $"UPDATE {table} SET {change}", $"DELETE FROM {table}" })
            Assert.Contains("kept:", (await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)))).Message, StringComparison.Ordinal);
        if (table != "knownEvent")
            Assert.Matches("kept:|decided:|system:|order:", (await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute($"INSERT OR REPLACE INTO {table} SELECT * FROM {table}", transaction: t)))).Message);
    }

    [Fact]
    public async Task A_known_event_is_withdrawn_once_and_stays()
    {
        using var temp = await Begun();
        var id = 0L;
        await temp.Write(t => id = KnownEventStore.Add(t, Known()));
        Assert.Equal("heater off", Assert.Single(temp.Stores.KnownEvents.List("a", Now, Now.AddSeconds(1))).What);
        Assert.Empty(temp.Stores.KnownEvents.List("b", Now, Now.AddSeconds(1)));
        Assert.Empty(temp.Stores.KnownEvents.List(null, Now.AddSeconds(60), Now.AddSeconds(90)));
        var actor = new Actor("ada", Roles.Analyst, null);
        var (first, second) = (false, true);
        await temp.Write(t => first = KnownEventStore.Withdraw(t, id, actor, Now, "wrong day"));
        await temp.Write(t => second = KnownEventStore.Withdraw(t, id, actor, Now, "wrong day"));
        Assert.Equal((true, false), (first, second));
        Assert.Empty(temp.Stores.KnownEvents.List(null, Instant.MinValue, Instant.MaxValue));
        Assert.Equal(1, temp.Stores.Database.Read(c => c.ExecuteScalar<long>("SELECT count(*) FROM knownEvent")));
    }

    private static KnownEventRow Known() => new() { Rule = "a", From = Now, To = Now.AddSeconds(60), What = "heater off", Actor = "ada", Role = Roles.Analyst, Time = Now };

    private static async Task<TempStores> Begun()
    {
        var temp = new TempStores();
        await temp.Write(t =>
        {
            RuleStore.Propose(t, Proposal("profile", "{}") with { Source = RuleWords.Profile, ProposedRole = Roles.System, Against = null });
            Approve(t, Row(RuleWords.Approved, "profile") with { Proposal = 1, Role = Roles.System, FromOrbit = null, InPlaceOf = null });
            RuleStore.Propose(t, Proposal("ada", "{\"b\":1}"));
        });
        return temp;
    }

    private static long Approve(System.Data.IDbTransaction t, RuleDecisionRow row) => RuleStore.AddVersion(t, RuleStore.Decide(t, row), row, $"{{\"v\":{row.Proposal}}}");

    private static Task<DecisionRefusedException> Refused(TempStores temp, RuleDecisionRow row) => Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => RuleStore.Decide(t, row)));

    private static RuleProposalRow Proposal(string by, string rules) => new() { Source = RuleWords.ByHand, Rule = "a", Rules = rules, Against = 1, ProposedBy = by, ProposedRole = Roles.Analyst, Proposed = Now, Reason = "a test", SoftwareVersion = "v" };

    private static RuleDecisionRow Row(string decision, string actor) => new()
    {
        Proposal = 2,
        Decision = decision,
        FromOrbit = decision == RuleWords.Approved ? 7 : null,
        InPlaceOf = decision == RuleWords.Approved ? 1 : null,
        Actor = actor,
        Role = Roles.CalibrationLead,
        Time = Now,
        Note = "a test",
        SoftwareVersion = "v",
    };
}
