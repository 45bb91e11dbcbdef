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
    [InlineData("UPDATE coefficientFit SET document = '{}'")]
    [InlineData("DELETE FROM coefficientFit")]
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
        Assert.Equal(["{\"n\":2}", "{\"n\":1}"], temp.Stores.Coefficients.Evidence(2).Select(e => e.Document));
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
