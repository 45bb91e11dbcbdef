using System.Data;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Lays coefficient sets and decisions beside the record: numbers that make winds, and who put them in force, stand in tables of their own, and the record holds their hashes, names and times. So whoever changes those
/// tables must change the record too, and is found out by its chain.
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

    private readonly List<(RecordEntry Entry, JsonObject After)> proposals = [];
    private readonly List<(RecordEntry Entry, JsonObject After)> decisions = [];

    /// <summary>Notes an entry that is about coefficients.</summary>
    public void Take(RecordEntry entry)
    {
        var list = entry.What == RecordKinds.CoefficientsPropose ? proposals : Kinds.ContainsValue(entry.What) && entry.Role != Roles.System ? decisions : null;
        if (list is not null && Read(entry.After) is { } after) list.Add((entry, after));
    }

    /// <summary>What the tables say otherwise than the entries.</summary>
    public IEnumerable<RecordFinding> Findings(IDbConnection connection, IDbTransaction transaction)
    {
        if (connection.ExecuteScalar<long>("PRAGMA user_version", transaction: transaction) < FirstVersion) yield break;
        foreach (var set in connection.Query<CoefficientSetRow>("SELECT * FROM coefficientSet ORDER BY id", transaction: transaction, buffered: false))
        {
            var hash = CoefficientStore.HashOf(set.Json);
            if (!hash.AsSpan().SequenceEqual(set.Hash))
                yield return Finding($"The numbers of coefficient set {N(set.Id)} '{set.Name}' have the hash {Hex(hash)}.", $"Expected {Hex(set.Hash)}, under which it was proposed: they were changed afterwards.");
            else if (set.Source != CoefficientSource.Profile && !proposals.Exists(p => Is(p, set)))
                yield return Finding($"No entry tells that {set.ProposedBy} proposed coefficient set {N(set.Id)} '{set.Name}' with the hash {Hex(set.Hash)} at {set.Proposed}.", "Expected one for every set that people proposed: it was put in, or changed afterwards.");
        }
        var known = decisions.ToList();
        foreach (var decision in connection.Query<CoefficientDecisionRow>("SELECT * FROM coefficientDecision WHERE role <> 'system' ORDER BY id", transaction: transaction).AsList())
            if (known.FindIndex(d => Is(d, decision)) is var at and >= 0) known.RemoveAt(at);
            else yield return Finding($"No entry tells of decision {N(decision.Id)}: coefficient set {N(decision.SetId)} {decision.Decision} by {decision.Actor} at {decision.Time}{From(decision)}.", "Expected one for every decision of a person: it was put in, or changed afterwards.");
        foreach (var (entry, _) in known)
            yield return new("coefficients", entry.Number, entry.Number, $"Entry {N(entry.Number)} ({entry.Time}, {entry.Person}, {entry.What}) has no decision beside it.", "Expected the decision as the entry tells it: it was removed, or changed afterwards.");
    }

    private static bool Is((RecordEntry Entry, JsonObject After) entry, CoefficientSetRow set) =>
        entry.Entry.Person == set.ProposedBy && entry.Entry.Time == set.Proposed && Number(entry.After["id"]) == set.Id && Text(entry.After["sha256"]) == Convert.ToHexStringLower(set.Hash);

    private static bool Is((RecordEntry Entry, JsonObject After) entry, CoefficientDecisionRow decision) =>
        Kinds.GetValueOrDefault(decision.Decision) == entry.Entry.What && entry.Entry.Person == decision.Actor && entry.Entry.Time == decision.Time && Number(entry.After["inForce"] ?? entry.After["id"]) == decision.SetId
        && (decision.FromTime is not { } from || Text(entry.After["from"]) == from.ToString());

    private static string From(CoefficientDecisionRow decision) => decision.FromTime is { } from && from != Instant.MinValue ? $", from {from}" : "";

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

    private static RecordFinding Finding(string found, string expected) => new("coefficients", 0, 0, found, expected);

    private static string N(long number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Hex(byte[] hash) => Convert.ToHexStringLower(hash)[..Math.Min(12, hash.Length * 2)] + "…";
}
