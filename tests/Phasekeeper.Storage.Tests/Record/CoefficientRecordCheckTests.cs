using Dapper;

namespace Phasekeeper.Storage.Tests.Record;

/// <summary>Coefficient sets and decisions changed by someone who can write to the database and takes its triggers away and back.</summary>
public sealed class CoefficientRecordCheckTests : IDisposable
{
    private readonly TempStores temp = new();

    public CoefficientRecordCheckTests() => temp.Write(t =>
    {
        var now = TempStores.Now;
        foreach (var name in new[] { "ground", "warmer", "colder" })
        {
            var by = new Actor("ada", Roles.Analyst, null);
            var set = new CoefficientSetRow { Name = name, Json = $$"""{"name":"{{name}}"}""", ValidFrom = now, ProposedBy = by.Name, ProposedRole = by.Role, Proposed = now, Source = name == "ground" ? CoefficientSource.Profile : CoefficientSource.ByHand, Reason = "a test" };
            var id = CoefficientStore.Propose(t, set).Id;
            if (name != "ground") RecordStore.Append(t, by, RecordKinds.CoefficientsPropose, name, null, new { Id = id, Sha256 = CoefficientStore.HashOf(set.Json) }, "a test", now);
        }
        Decide(2, CoefficientDecision.Approved, RecordKinds.CoefficientsApprove);
        Decide(3, CoefficientDecision.Declined, RecordKinds.CoefficientsDecline);

        void Decide(long id, string decision, string what)
        {
            var lead = new Actor("bea", Roles.CalibrationLead, null);
            var from = decision == CoefficientDecision.Approved ? now.AddSeconds(100) : (Core.Time.Instant?)null;
            CoefficientStore.Decide(t, new() { SetId = id, Decision = decision, FromTime = from, Actor = lead.Name, Role = lead.Role, Time = now, Note = "a test", SoftwareVersion = "test" });
            RecordStore.Append(t, lead, what, "a set", null, from is null ? new { Id = id } : new { InForce = id, From = from.ToString() }, "a test", now);
        }
    }).GetAwaiter().GetResult();

    public void Dispose() => temp.Dispose();

    [Fact]
    public void What_nobody_touched_agrees_with_the_record() => Assert.Empty(Findings());

    [Theory]
    [InlineData("UPDATE coefficientSet SET json = '{}' WHERE id = 1", "The numbers of coefficient set 1 'ground'")]
    [InlineData("UPDATE coefficientSet SET json = '{}' WHERE id = 2", "The numbers of coefficient set 2 'warmer'")]
    [InlineData("UPDATE coefficientSet SET proposedBy = 'bea' WHERE id = 2", "No entry tells that bea proposed coefficient set 2")]
    [InlineData("INSERT INTO coefficientSet (name, hash, json, validFrom, proposedBy, proposed, basis, source) SELECT 'put in', x'44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a', '{}', validFrom, proposedBy, proposed, basis, 'by hand' FROM coefficientSet WHERE id = 2", "coefficient set 4 'put in'")]
    [InlineData("UPDATE coefficientDecision SET setId = 1 WHERE setId = 2", "No entry tells of decision 1: coefficient set 1 approved by bea")]
    [InlineData("UPDATE coefficientDecision SET actor = 'cleo' WHERE setId = 2", "approved by cleo")]
    [InlineData("UPDATE coefficientDecision SET fromTime = fromTime + 1 WHERE setId = 2", "No entry tells of decision 1")]
    [InlineData("DELETE FROM coefficientDecision WHERE setId = 3", "has no decision beside it")]
    public void A_change_in_their_tables_is_told(string change, string expected)
    {
        temp.Tamper(change);
        Assert.Contains(Findings(), f => f.Kind == "coefficients" && f.Found.Contains(expected, StringComparison.Ordinal));
    }

    [Fact]
    public void A_trigger_that_was_taken_away_or_made_to_do_nothing_is_told()
    {
        using (var raw = temp.Raw())
        {
            raw.Execute("DROP TRIGGER coefficientSetKept; DROP TRIGGER recordNoUpdate");
            raw.Execute("CREATE TRIGGER recordNoUpdate BEFORE UPDATE ON record WHEN 0 BEGIN SELECT RAISE(ABORT, 'never'); END");
        }
        Assert.Equal(["The database lacks coefficientSetKept.", "The database has other triggers under the names recordNoUpdate."], Findings().Select(f => f.Found));
    }

    private IReadOnlyList<RecordFinding> Findings() => RecordVerifier.Verify(temp.Stores.Database).Findings;
}
