using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Coefficients;

/// <summary>What the store itself refuses about coefficient sets, whoever asks and by whatever road.</summary>
public class CoefficientStoreTests
{
    private static readonly Instant Now = TempStores.Now;

    [Fact]
    public async Task A_proposer_decides_nothing_about_the_own_set_under_any_spelling_of_the_name()
    {
        using var temp = await Begun();
        foreach (var name in new[] { "ada", "Ada", " ADA " })
            foreach (var decision in new[] { CoefficientDecision.Approved, CoefficientDecision.Declined })
            {
                var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Row(2, decision, name))));
                Assert.Equal(RefusalKind.Forbidden, refused.Kind);
            }
        await temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Approved, "bea")));
        var back = await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Reinstated, "ada"))));
        Assert.Contains("proposed", back.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(Roles.Viewer)]
    [InlineData(Roles.Operator)]
    [InlineData(Roles.Analyst)]
    [InlineData(Roles.Administrator)]
    [InlineData(Roles.System)]
    public async Task Only_a_calibration_lead_decides(string role)
    {
        using var temp = await Begun();
        var refused = await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Approved, "bea") with { Role = role })));
        Assert.Equal(RefusalKind.Forbidden, refused.Kind);
    }

    [Fact]
    public async Task A_proposal_is_decided_once_and_only_what_was_approved_comes_back()
    {
        using var temp = await Begun();
        Assert.Equal(RefusalKind.Conflict, (await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Reinstated, "bea"))))).Kind);
        await temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Declined, "bea")));
        Assert.Equal(RefusalKind.Conflict, (await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Approved, "cleo"))))).Kind);
        await temp.Write(t => CoefficientStore.Decide(t, Row(1, CoefficientDecision.Reinstated, "bea")));
        Assert.Equal([CoefficientDecision.Reinstated, CoefficientDecision.Declined], temp.Stores.Coefficients.All().Select(s => s.State));
    }

    [Theory]
    [InlineData("id, setId")]
    [InlineData("NULL, setId")]
    public async Task A_decision_is_not_replaced_by_another(string place)
    {
        using var temp = await Begun();
        await temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Declined, "bea")));
        var refused = await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(
            $"INSERT OR REPLACE INTO coefficientDecision SELECT {place}, 'approved', 7, fromOrbit, overLater, inPlaceOf, evidence, 'cleo', role, address, time, note, softwareVersion FROM coefficientDecision WHERE setId = 2", transaction: t)));
        Assert.Contains("decided:", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Only_the_proposer_withdraws_once_and_what_was_withdrawn_is_not_decided()
    {
        using var temp = await Begun();
        CoefficientDecisionRow Back(string actor, string role) => Row(2, CoefficientDecision.Withdrawn, actor) with { FromTime = null, Role = role };
        foreach (var (actor, role) in new[] { ("bea", Roles.Analyst), ("ADA", Roles.Analyst), ("ada", Roles.Viewer), ("ada", Roles.System) })
            Assert.Equal(RefusalKind.Forbidden, (await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Back(actor, role))))).Kind);
        await temp.Write(t => CoefficientStore.Decide(t, Back("ada", Roles.Analyst)));
        Assert.Equal(CoefficientDecision.Withdrawn, temp.Stores.Coefficients.Get(2)!.State);
        foreach (var row in new[] { Back("ada", Roles.Analyst), Row(2, CoefficientDecision.Approved, "bea"), Row(2, CoefficientDecision.Declined, "bea"), Row(2, CoefficientDecision.Reinstated, "bea") })
            Assert.Equal(RefusalKind.Conflict, (await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, row)))).Kind);
    }

    [Fact]
    public async Task Decisions_and_what_follows_from_them_outlive_the_schema_in_which_proposers_can_withdraw()
    {
        var folder = TempStores.NewFolder();
        var file = new DataFolder(folder).DatabaseFile;
        using (var raw = new SqliteConnection($"Data Source={file};Pooling=False;Foreign Keys=True"))
        {
            raw.Open();
            Migrations.Apply(raw, file, [.. Migrations.Scripts.Where(s => s.Version < 9)]);
            raw.Execute(
                """
                INSERT INTO coefficientSet (id, name, hash, json, validFrom, proposedBy, proposed, basis) VALUES (1, 'a', x'01', '{}', 0, 'profile', 0, ''), (2, 'b', x'02', '{}', 0, 'ada', 0, '');
                INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (1, 'approved', 0, 'profile', 'system', 0, 'first', ''), (2, 'approved', 5, 'bea', 'calibration-lead', 0, 'better', '');
                INSERT INTO reprocessing (decision, fromTime, orbits, started) VALUES (2, 5, 1, 0);
                INSERT INTO reprocessingOrbit (orbit, decision, setId) VALUES (7, 2, 1);
                """);
        }
        using var temp = new TempStores(folder);
        Assert.Equal([(1L, "profile"), (2L, "bea")], temp.Stores.Coefficients.Decisions().Select(d => (d.Id, d.Actor)));
        Assert.Equal(1, Assert.Single(temp.Stores.Reprocessing.All()).Waiting);
        Assert.Empty(temp.Stores.Database.Read(c => c.Query("PRAGMA foreign_key_check")));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute("UPDATE coefficientDecision SET note = 'x'", transaction: t)));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute("UPDATE reprocessingOrbit SET decision = 99", transaction: t)));
    }

    [Fact]
    public async Task A_decision_without_a_reason_is_refused()
    {
        using var temp = await Begun();
        Assert.Equal(RefusalKind.Invalid, (await Assert.ThrowsAsync<DecisionRefusedException>(() => temp.Write(t => CoefficientStore.Decide(t, Row(2, CoefficientDecision.Approved, "bea") with { Note = "  " })))).Kind);
    }

    [Theory]
    [InlineData("UPDATE coefficientSet SET proposedBy = 'someone'")]
    [InlineData("UPDATE coefficientSet SET json = '{}'")]
    [InlineData("DELETE FROM coefficientSet WHERE id = 2")]
    [InlineData("UPDATE coefficientDecision SET actor = 'someone'")]
    [InlineData("DELETE FROM coefficientDecision")]
    [InlineData("UPDATE coefficientEvidence SET document = '{}'")]
    [InlineData("DELETE FROM coefficientEvidence")]
    [InlineData("INSERT OR REPLACE INTO coefficientSet (id, name, hash, json, validFrom, proposedBy, proposed, basis) SELECT id, name, x'00', json, validFrom, 'someone', proposed, basis FROM coefficientSet WHERE id = 2")]
    [InlineData("INSERT OR REPLACE INTO coefficientSet (name, hash, json, validFrom, proposedBy, proposed, basis) SELECT name, hash, json, validFrom, 'someone', proposed, basis FROM coefficientSet WHERE id = 2")]
    [InlineData("INSERT OR REPLACE INTO coefficientEvidence SELECT id, setId, against, computed, '{}', softwareVersion FROM coefficientEvidence")]
    [InlineData("UPDATE coefficientFit SET document = '{}'")]
    [InlineData("DELETE FROM coefficientFit")]
    [InlineData("INSERT OR REPLACE INTO coefficientFit SELECT setId, '{}' FROM coefficientFit")]
    public async Task Sets_evidence_and_decisions_are_never_changed(string sql)
    {
        using var temp = await Begun();
        await temp.Write(t => CoefficientStore.AddEvidence(t, new() { SetId = 2, Computed = Now, Document = "{\"better\":true}", SoftwareVersion = "test" }));
        await temp.Write(t => CoefficientStore.AddFit(t, 2, "{\"numbers\":[]}"));
        Assert.Equal(("{\"numbers\":[]}", null), (temp.Stores.Coefficients.Fit(2), temp.Stores.Coefficients.Fit(1)));
        var refused = await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)));
        Assert.Contains("kept:", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_same_content_is_one_set_and_the_newest_evidence_counts()
    {
        using var temp = await Begun();
        await temp.Write(t =>
        {
            Assert.Equal((2L, false), CoefficientStore.Propose(t, Set("b", "someone else")));
            CoefficientStore.AddEvidence(t, new() { SetId = 2, Against = 1, Computed = Now, Document = "{\"n\":1}", SoftwareVersion = "test" });
            CoefficientStore.AddEvidence(t, new() { SetId = 2, Against = 1, Computed = Now, Document = "{\"n\":2}", SoftwareVersion = "test" });
            Assert.Equal("{\"n\":2}", CoefficientStore.NewestEvidence(t, 2)!.Document);
        });
        Assert.Equal("ada", temp.Stores.Coefficients.Get(2)!.ProposedBy);
        Assert.Equal("{\"n\":2}", temp.Stores.Coefficients.NewestEvidence(2)!.Document);
    }

    private static async Task<TempStores> Begun()
    {
        var temp = new TempStores();
        await temp.Write(t =>
        {
            CoefficientStore.Propose(t, Set("a", "profile") with { Source = CoefficientSource.Profile });
            CoefficientStore.Decide(t, Row(1, CoefficientDecision.Approved, "profile") with { Role = Roles.System, FromTime = Instant.MinValue });
            CoefficientStore.Propose(t, Set("b", "ada"));
        });
        return temp;
    }

    private static CoefficientSetRow Set(string name, string by) => new()
    {
        Name = name,
        Json = $"{{\"name\":\"{name}\"}}",
        ValidFrom = Now,
        ProposedBy = by,
        ProposedRole = Roles.Analyst,
        Proposed = Now,
        Source = CoefficientSource.ByHand,
        Reason = "a test",
    };

    private static CoefficientDecisionRow Row(long set, string decision, string actor) => new()
    {
        SetId = set,
        Decision = decision,
        FromTime = decision == CoefficientDecision.Declined ? null : Now.AddSeconds(100),
        Actor = actor,
        Role = Roles.CalibrationLead,
        Time = Now,
        Note = "a reason",
        SoftwareVersion = "test",
    };
}
