using System.Data;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Lays coefficient sets and decisions beside the record: numbers that make winds, and who put them in force, stand in tables of their own, and the record holds their hashes, names and times. So whoever changes those
/// tables must change the record too, and is found out by its chain. Every column that an entry tells of is compared; what entries of earlier versions do not tell was not on record then, and cannot be checked.
/// </summary>
internal sealed class CoefficientRecordCheck
{
    // The schema in which decisions carry who, in which role, from where.
    private const long FirstVersion = 7;

    private static readonly Dictionary<string, string> Kinds = new(StringComparer.Ordinal)
    {
        [CoefficientDecision.Approved] = RecordKinds.CoefficientsApprove,
        [CoefficientDecision.Declined] = RecordKinds.CoefficientsDecline,
        [CoefficientDecision.Reinstated] = RecordKinds.CoefficientsReinstate,
        [CoefficientDecision.Withdrawn] = RecordKinds.CoefficientsWithdraw,
    };

    private readonly List<(RecordEntry Entry, JsonObject After)> starts = [];
    private readonly List<(RecordEntry Entry, JsonObject After)> proposals = [];
    private readonly List<(RecordEntry Entry, JsonObject After)> decisions = [];

    private Instant? began;

    /// <summary>Notes an entry that is about coefficients.</summary>
    public void Take(RecordEntry entry)
    {
        began ??= entry.Time;
        var list = entry.What == RecordKinds.CoefficientsPropose ? proposals
            : !Kinds.ContainsValue(entry.What) ? null
            : entry.Role != Roles.System ? decisions : entry.What == RecordKinds.CoefficientsApprove ? starts : null;
        if (list is not null && Read(entry.After) is { } after) list.Add((entry, after));
    }

    /// <summary>What the tables say otherwise than the entries.</summary>
    public IReadOnlyList<RecordFinding> Findings(IDbConnection connection, IDbTransaction transaction)
    {
        if (connection.ExecuteScalar<long>("PRAGMA user_version", transaction: transaction) < FirstVersion) return [];
        List<RecordFinding> findings = [];
        List<CoefficientSetRow> sets = [];
        foreach (var set in connection.Query<CoefficientSetRow>("SELECT * FROM coefficientSet ORDER BY id", transaction: transaction, buffered: false))
        {
            CheckSet(set, findings);
            // Megabytes each.
            sets.Add(set with { Json = "" });
        }
        foreach (var second in sets.Where(s => s.Source == CoefficientSource.Profile).Skip(1))
            findings.Add(Finding($"Coefficient set {N(second.Id)} '{second.Name}' is said to come from the profile too.", "Expected one such set, the first of the mission: it was put in."));
        foreach (var (entry, after) in proposals.Where(p => !sets.Exists(s => s.Id == Number(p.After["id"]))))
            findings.Add(new("coefficients", entry.Number, entry.Number, $"Entry {N(entry.Number)} ({entry.Time}, {entry.Person}, {entry.What}) has no coefficient set {N(Number(after["id"]) ?? 0)} beside it.", "Expected the set as it was proposed: it was removed."));
        var names = sets.ToDictionary(s => s.Id, s => s.Name);
        CheckDecisions(connection.Query<CoefficientDecisionRow>("SELECT * FROM coefficientDecision ORDER BY id", transaction: transaction).AsList(), names, findings);
        CheckDocuments(connection, transaction, findings);
        return findings;
    }

    private void CheckSet(CoefficientSetRow set, List<RecordFinding> findings)
    {
        var hash = CoefficientStore.HashOf(set.Json);
        var which = $"coefficient set {N(set.Id)} '{set.Name}'";
        if (!hash.AsSpan().SequenceEqual(set.Hash))
        {
            findings.Add(Finding($"The numbers of {which} have the hash {Hex(hash)}.", $"Expected {Hex(set.Hash)}, under which it was proposed: they were changed afterwards."));
            return;
        }
        var entries = set.Source == CoefficientSource.Profile ? starts : proposals;
        if (entries.Find(e => Is(e, set)) is { Entry: not null } entry)
        {
            if (Differences(entry, set) is { Count: > 0 } differences)
                findings.Add(Told(entry.Entry, $"The {which} is otherwise than entry {N(entry.Entry.Number)} tells: {string.Join("; ", differences)}.", "Expected it as it was proposed: it was changed afterwards."));
        }
        else if (set.Source != CoefficientSource.Profile)
            findings.Add(Finding($"No entry tells that {set.ProposedBy} proposed {which} with the hash {Hex(set.Hash)} at {set.Proposed}.", "Expected one for every set that people proposed: it was put in, or changed afterwards."));
        // The first set of a mission that is older than its record is not on record.
        else if (starts.Count > 0 || began is not { } from || set.Proposed > from)
            findings.Add(Finding($"No entry tells that the mission began with {which} with the hash {Hex(set.Hash)}.", "Expected one for the first set of a mission: its numbers were changed, or it was put in."));
    }

    private static List<string> Differences((RecordEntry Entry, JsonObject After) entry, CoefficientSetRow set)
    {
        List<string> found = [];
        Compare(found, "name", entry.Entry.Subject, set.Name);
        // Before 0007 a set had no reason.
        if (set.Source != CoefficientSource.Profile || set.Reason.Length > 0) Compare(found, "reason", entry.Entry.Reason ?? "", set.Reason.Trim());
        if (set.Source != CoefficientSource.Profile)
        {
            Compare(found, "role", entry.Entry.Role, set.ProposedRole);
            Compare(found, "address", entry.Entry.Address ?? "none", set.ProposedFrom ?? "none");
        }
        if (entry.After.ContainsKey("validFrom")) Compare(found, "validFrom", Text(entry.After["validFrom"]), set.ValidFrom.ToString());
        if (entry.After.ContainsKey("source")) Compare(found, "source", Text(entry.After["source"]), set.Source);
        if (entry.After.ContainsKey("basis")) Compare(found, "basis", Text(entry.After["basis"]), set.Basis);
        if (entry.After.ContainsKey("against")) Compare(found, "against", Word(entry.After["against"]), set.Against is { } against ? N(against) : "none");
        if (entry.After.ContainsKey("proposedBy")) Compare(found, "proposedBy", Text(entry.After["proposedBy"]), set.ProposedBy);
        return found;
    }

    private void CheckDecisions(IReadOnlyList<CoefficientDecisionRow> rows, Dictionary<long, string> names, List<RecordFinding> findings)
    {
        var known = decisions.ToList();
        foreach (var decision in rows.Where(d => d.Role != Roles.System))
        {
            if (known.FindIndex(d => Is(d, decision)) is not (var at and >= 0))
            {
                findings.Add(Finding($"No entry tells of decision {N(decision.Id)}: coefficient set {N(decision.SetId)} {decision.Decision} by {decision.Actor} at {decision.Time}{From(decision)}.", "Expected one for every decision of a person: it was put in, or changed afterwards."));
                continue;
            }
            if (Differences(known[at], decision) is { Count: > 0 } differences)
                findings.Add(Told(known[at].Entry, $"Decision {N(decision.Id)} about coefficient set {N(decision.SetId)} is otherwise than entry {N(known[at].Entry.Number)} tells: {string.Join("; ", differences)}.", "Expected it as it was decided: it was changed afterwards."));
            known.RemoveAt(at);
        }
        foreach (var (entry, _) in known)
            findings.Add(new("coefficients", entry.Number, entry.Number, $"Entry {N(entry.Number)} ({entry.Time}, {entry.Person}, {entry.What}) has no decision beside it.", "Expected the decision as the entry tells it: it was removed, or changed afterwards."));
        CheckStart([.. rows.Where(d => d.Role == Roles.System)], names, findings);
    }

    // The program decides once, that a mission begins with the set of its profile.
    private void CheckStart(CoefficientDecisionRow[] rows, Dictionary<long, string> names, List<RecordFinding> findings)
    {
        foreach (var second in rows.Skip(1))
            findings.Add(Finding($"Decision {N(second.Id)} (coefficient set {N(second.SetId)} '{names.GetValueOrDefault(second.SetId)}' {second.Decision}{From(second)}) is said to be the program's own too.", "Expected one such decision, with which the mission began: it was put in."));
        if (rows is not [var first, ..])
        {
            if (starts is [var lost, ..]) findings.Add(Told(lost.Entry, $"Entry {N(lost.Entry.Number)} ({lost.Entry.Time}, {lost.Entry.What}) has no decision beside it.", "Expected the decision with which the mission began: it was removed, or changed afterwards."));
            return;
        }
        if (starts is not [var start, ..])
        {
            if (began is not { } from || first.Time > from)
                findings.Add(Finding($"No entry tells of decision {N(first.Id)}: coefficient set {N(first.SetId)} {first.Decision} by the program itself at {first.Time}{From(first)}.", "Expected one for the first set of a mission: it was put in, or changed afterwards."));
            return;
        }
        List<string> found = [];
        Compare(found, "set", Word(start.After["id"]), N(first.SetId));
        Compare(found, "decision", CoefficientDecision.Approved, first.Decision);
        Compare(found, "time", start.Entry.Time.ToString(), first.Time.ToString());
        if (first.FromTime != Instant.MinValue || first.FromOrbit is not null) found.Add($"it begins {From(first).TrimStart(',', ' ')}, not at the beginning");
        if (first.InPlaceOf is not null || first.Evidence is not null || first.OverLater || first.Address is not null) found.Add("it names another set, evidence, or an address");
        if (start.After.ContainsKey("proposedBy")) Compare(found, "by", Text(start.After["proposedBy"]), first.Actor);
        Compare(found, "reason", start.Entry.Reason ?? "", first.Note.Trim());
        if (found.Count > 0)
            findings.Add(Told(start.Entry, $"Decision {N(first.Id)}, with which the mission began, is otherwise than entry {N(start.Entry.Number)} tells: {string.Join("; ", found)}.", "Expected it as it was written: it was changed afterwards."));
    }

    private static List<string> Differences((RecordEntry Entry, JsonObject After) entry, CoefficientDecisionRow decision)
    {
        List<string> found = [];
        var after = entry.After;
        Compare(found, "reason", entry.Entry.Reason ?? "", decision.Note.Trim());
        Compare(found, "role", entry.Entry.Role, decision.Role);
        Compare(found, "address", entry.Entry.Address ?? "none", decision.Address ?? "none");
        if (after.ContainsKey("fromOrbit")) Compare(found, "fromOrbit", Word(after["fromOrbit"]), decision.FromOrbit is { } orbit ? N(orbit) : "none");
        if (after["overLater"] is JsonValue over && over.TryGetValue<bool>(out var was)) Compare(found, "overLater", was ? "yes" : "no", decision.OverLater ? "yes" : "no");
        if (after.ContainsKey("evidence")) Compare(found, "evidence", Word(after["evidence"]), decision.Evidence is { } evidence ? N(evidence) : "none");
        if (Read(entry.Entry.Before) is { } before && before.ContainsKey("inForce")) Compare(found, "inPlaceOf", Word(before["inForce"]), decision.InPlaceOf is { } former ? N(former) : "none");
        return found;
    }

    // Evidence and fits lie beside sets; entries that rest on them have held their hashes since they were told there.
    private void CheckDocuments(IDbConnection connection, IDbTransaction transaction, List<RecordFinding> findings)
    {
        foreach (var (entry, after) in proposals.Concat(decisions))
        {
            if (Text(after["evidenceSha256"]) is { } evidence && Number(after["evidence"]) is { } id)
                Check(entry, $"evidence {N(id)}", evidence, connection.QuerySingleOrDefault<string?>("SELECT document FROM coefficientEvidence WHERE id = @id AND setId = @set", new { id, set = Number(after["inForce"] ?? after["id"]) }, transaction));
            if (!after.ContainsKey("fitSha256") || Number(after["id"]) is not { } set) continue;
            var fit = connection.QuerySingleOrDefault<string?>("SELECT document FROM coefficientFit WHERE setId = @set", new { set }, transaction);
            if (Text(after["fitSha256"]) is { } hash) Check(entry, $"the fit behind coefficient set {N(set)}", hash, fit);
            else if (fit is not null) findings.Add(Told(entry, $"There is a fit behind coefficient set {N(set)}.", $"Expected none, as entry {N(entry.Number)} tells: it was put in."));
        }

        void Check(RecordEntry entry, string what, string expected, string? document)
        {
            if (document is null) findings.Add(Told(entry, $"There is no document of {what}.", $"Expected the document that entry {N(entry.Number)} rests on: it was removed, or laid beside another set."));
            else if (Convert.ToHexStringLower(CoefficientStore.HashOf(document)) is var found && found != expected)
                findings.Add(Told(entry, $"The document of {what} has the hash {Short(found)}.", $"Expected {Short(expected)}, as entry {N(entry.Number)} tells: it was changed afterwards."));
        }
    }

    private static bool Is((RecordEntry Entry, JsonObject After) entry, CoefficientSetRow set) =>
        (set.Source == CoefficientSource.Profile || entry.Entry.Person == set.ProposedBy) && entry.Entry.Time == set.Proposed && Number(entry.After["id"]) == set.Id && Text(entry.After["sha256"]) == Convert.ToHexStringLower(set.Hash);

    private static bool Is((RecordEntry Entry, JsonObject After) entry, CoefficientDecisionRow decision) =>
        Kinds.GetValueOrDefault(decision.Decision) == entry.Entry.What && entry.Entry.Person == decision.Actor && entry.Entry.Time == decision.Time && Number(entry.After["inForce"] ?? entry.After["id"]) == decision.SetId
        && (decision.FromTime is { } from ? Text(entry.After["from"]) == from.ToString() : !entry.After.ContainsKey("from"));

    private static string From(CoefficientDecisionRow decision) => decision.FromTime is { } from && from != Instant.MinValue ? $", from {from}" : "";

    private static void Compare(List<string> found, string what, string? expected, string? stands)
    {
        if (expected != stands) found.Add($"{what} '{Cut(stands)}', told '{Cut(expected)}'");
    }

    private static string Cut(string? text) => text is null ? "none" : text.Length > 60 ? text[..60] + "…" : text;

    // What somebody wrote anew need not be JSON; the hashes tell of that.
    private static JsonObject? Read(string? json)
    {
        try
        {
            return json is null ? null : JsonNode.Parse(json) as JsonObject;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static long? Number(JsonNode? node) => node is JsonValue value && value.TryGetValue<long>(out var number) ? number : null;

    private static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;

    // A number as text; none for null.
    private static string Word(JsonNode? node) => node is null ? "none" : Number(node) is { } number ? N(number) : node.ToJsonString();

    private static RecordFinding Told(RecordEntry entry, string found, string expected) => new("coefficients", entry.Number, entry.Number, found, expected);

    private static string Short(string hash) => hash.Length > 12 ? hash[..12] + "…" : hash;

    private static RecordFinding Finding(string found, string expected) => new("coefficients", 0, 0, found, expected);

    private static string N(long number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Hex(byte[] hash) => Convert.ToHexStringLower(hash)[..Math.Min(12, hash.Length * 2)] + "…";
}
