using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage.Tests.Record;

/// <summary>Each column of sets, decisions, evidence and fits changed by someone who takes the triggers away and back; entries as the program writes them now.</summary>
public sealed class CoefficientTamperTests : IDisposable
{
    private const string Evidence = """{"worse":true}""";
    private const string Fit = """{"a":1}""";

    private readonly TempStores temp = new();

    public CoefficientTamperTests() => temp.Write(t =>
    {
        var now = TempStores.Now;
        var ground = Set("ground", CoefficientSource.Profile, "profile", Roles.System);
        var first = CoefficientStore.Propose(t, ground).Id;
        CoefficientStore.Decide(t, new() { SetId = first, Decision = "approved", FromTime = Instant.MinValue, Actor = "profile", Role = Roles.System, Time = now, Note = "a test", SoftwareVersion = "test" });
        RecordStore.Append(t, Actor.System, RecordKinds.CoefficientsApprove, "ground", null, new { Id = first, Sha256 = CoefficientStore.HashOf(ground.Json), From = "the beginning", ProposedBy = "profile" }, "a test", now);
        var evidence = 0L;
        foreach (var name in new[] { "warmer", "colder" })
        {
            var by = new Actor("ada", Roles.Analyst, null);
            var set = Set(name, CoefficientSource.ByHand, by.Name, by.Role);
            var id = CoefficientStore.Propose(t, set).Id;
            if (name == "warmer")
            {
                evidence = CoefficientStore.AddEvidence(t, new() { SetId = id, Against = 1, Computed = now, Document = Evidence, SoftwareVersion = "t" });
                CoefficientStore.AddFit(t, id, Fit);
            }
            RecordStore.Append(t, by, RecordKinds.CoefficientsPropose, name, null,
                new { Id = id, Sha256 = CoefficientStore.HashOf(set.Json), ValidFrom = now.ToString(), set.Source, set.Basis, set.Against, FitSha256 = name == "warmer" ? CoefficientStore.HashOf(Fit) : null }, "a test", now);
        }
        var lead = new Actor("bea", Roles.CalibrationLead, null);
        var from = now.AddSeconds(100);
        CoefficientStore.Decide(t, new() { SetId = 2, Decision = "approved", FromTime = from, FromOrbit = 7, InPlaceOf = 1, Evidence = evidence, Actor = lead.Name, Role = lead.Role, Time = now, Note = "a test", SoftwareVersion = "test" });
        RecordStore.Append(t, lead, RecordKinds.CoefficientsApprove, "warmer", new { InForce = 1 },
            new { InForce = 2, From = from.ToString(), FromOrbit = 7, To = (string?)null, OverLater = false, Evidence = evidence, EvidenceSha256 = CoefficientStore.HashOf(Evidence) }, "a test", now);
    }).GetAwaiter().GetResult();

    private static CoefficientSetRow Set(string name, string source, string by, string role) =>
        new() { Name = name, Json = $$"""{"name":"{{name}}"}""", ValidFrom = TempStores.Now, ProposedBy = by, ProposedRole = role, Proposed = TempStores.Now, Source = source, Reason = "a test" };

    public void Dispose() => temp.Dispose();

    [Fact]
    public void What_nobody_touched_agrees_with_the_record() => Assert.Empty(RecordVerifier.Verify(temp.Stores.Database).Findings);

    [Theory]
    [InlineData("UPDATE coefficientDecision SET overLater = 1 WHERE setId = 2", "overLater 'yes', told 'no'")]
    [InlineData("UPDATE coefficientDecision SET note = 'another reason' WHERE setId = 2", "reason 'another reason', told 'a test'")]
    [InlineData("UPDATE coefficientDecision SET fromOrbit = NULL WHERE setId = 2", "fromOrbit 'none', told '7'")]
    [InlineData("UPDATE coefficientDecision SET inPlaceOf = NULL WHERE setId = 2", "inPlaceOf 'none', told '1'")]
    [InlineData("UPDATE coefficientDecision SET evidence = NULL WHERE setId = 2", "evidence 'none', told '1'")]
    [InlineData("UPDATE coefficientDecision SET address = '192.0.2.1' WHERE setId = 2", "address '192.0.2.1', told 'none'")]
    [InlineData("UPDATE coefficientEvidence SET document = '{\"worse\":false}'", "The document of evidence 1")]
    [InlineData("UPDATE coefficientEvidence SET setId = 3", "There is no document of evidence 1")]
    [InlineData("UPDATE coefficientFit SET document = '{\"a\":2}'", "The document of the fit behind coefficient set 2")]
    [InlineData("DELETE FROM coefficientFit", "There is no document of the fit behind coefficient set 2")]
    [InlineData("INSERT INTO coefficientFit (setId, document) VALUES (3, '{}')", "There is a fit behind coefficient set 3")]
    [InlineData("UPDATE coefficientSet SET reason = 'another' WHERE id = 2", "reason 'another', told 'a test'")]
    [InlineData("UPDATE coefficientSet SET basis = 'x' WHERE id = 2", "basis 'x', told ''")]
    [InlineData("UPDATE coefficientSet SET name = 'other' WHERE id = 2", "name 'other', told 'warmer'")]
    [InlineData("UPDATE coefficientSet SET validFrom = 5 WHERE id = 2", "validFrom")]
    [InlineData("UPDATE coefficientSet SET against = 1 WHERE id = 2", "against '1', told 'none'")]
    [InlineData("DELETE FROM coefficientSet WHERE id = 3", "has no coefficient set 3 beside it")]
    [InlineData("INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (3, 'approved', 1999999999000000000, 'profile', 'system', 5, 'x', 't')", "Decision 3")]
    [InlineData("INSERT INTO coefficientSet (name, hash, json, validFrom, proposedBy, proposed, basis, source) SELECT 'put in', x'44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a', '{}', validFrom, proposedBy, proposed, basis, 'profile' FROM coefficientSet WHERE id = 2", "Coefficient set 4 'put in' is said to come from the profile too")]
    [InlineData("UPDATE coefficientSet SET json = '{}', hash = x'44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a' WHERE id = 1", "No entry tells that the mission began with coefficient set 1 'ground'")]
    [InlineData("UPDATE coefficientDecision SET setId = 3 WHERE role = 'system'", "Decision 1, with which the mission began")]
    [InlineData("UPDATE coefficientDecision SET fromTime = 5 WHERE role = 'system'", "not at the beginning")]
    [InlineData("DELETE FROM coefficientDecision WHERE role = 'system'", "has no decision beside it")]
    public void A_change_of_any_column_is_told(string change, string expected)
    {
        temp.Tamper(change);
        Assert.Contains(RecordVerifier.Verify(temp.Stores.Database).Findings, f => f.Kind == "coefficients" && f.Found.Contains(expected, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("UPDATE coefficientSet SET proposed = 'x'", "coefficientSet.proposed of row 1 is of the type text.")]
    [InlineData("UPDATE coefficientSet SET json = x'ff'", "coefficientSet.json of row 1 is of the type blob.")]
    [InlineData("UPDATE coefficientSet SET hash = 'x' WHERE id = 1", "coefficientSet.hash of row 1 is of the type text.")]
    [InlineData("UPDATE coefficientDecision SET time = 'x'", "coefficientDecision.time of row 1 is of the type text.")]
    [InlineData("UPDATE coefficientDecision SET fromTime = 9.5e30", "coefficientDecision.fromTime of row 1 is of the type real.")]
    public void A_value_of_another_type_is_told_and_not_thrown(string change, string expected)
    {
        temp.Tamper(change);
        Assert.Contains(RecordVerifier.Verify(temp.Stores.Database).Findings, f => f.Kind == "type" && f.Found == expected);
    }

    [Fact(Timeout = 30_000)]
    public async Task A_number_in_the_anchor_that_no_record_reaches_is_told_and_read_in_no_time()
    {
        await Task.Yield();
        var (path, hex) = (RecordAnchor.PathFor(temp.Stores.Database.Folder.DatabaseFile), new string('a', 64));
        await File.AppendAllTextAsync(path, $"w 9223372036854775807 {hex}\nc 9223372036854775807\nw 999999999999 {hex}\nc 999999999999\nw 3 {hex}\nc 3\n");
        var file = temp.Stores.Database.Folder.DatabaseFile;
        temp.Stores.Dispose();
        using (Stores.Open(temp.Folder))
        {
        }
        var findings = RecordVerifier.Verify(file).Findings;
        Assert.Contains(findings, f => f.Kind == "anchor" && f.Found.Contains("w 9223372036854775807", StringComparison.Ordinal));
        Assert.Contains(findings, f => f.Kind is "cut" or "rewritten");
    }
}
