using System.Data;
using System.Globalization;
using System.Text.Json.Nodes;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Thresholds;

/// <summary>What an approval says besides who decides.</summary>
public sealed record RuleDecisionRequest
{
    /// <summary>Why.</summary>
    public string? Reason { get; init; }
    /// <summary>First orbit that the new version judges; null: the one after the newest orbit with data, so that no flag of the past changes.</summary>
    public int? FromOrbit { get; init; }
    /// <summary>Version that the decider saw in force; null: the one that it was proposed against.</summary>
    public long? InPlaceOf { get; init; }
    /// <summary>Rehearsal that the decider saw; null: not said. A newer one refuses the decision.</summary>
    public long? Evidence { get; init; }
}

/// <summary>
/// Proposals and decisions about the flag rules: the one road of pages, API and the program itself. Every step reads, checks and writes in one transaction, so of two decisions at once the second sees the first.
/// </summary>
public sealed class RuleDesk(Stores stores, PipelineEngine engine, Rehearsals rehearsals, ChangeFeed changes, TimeProvider clock)
{
    /// <summary>Longest reason, characters (chosen: a page of text).</summary>
    public const int LongestReason = DecisionReason.Longest;

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private MissionState Mission => engine.Mission ?? throw new DecisionRefusedException(RefusalKind.Conflict, "The mission is being opened; try again in a moment.");

    /// <summary>Proposes one rule as it was rehearsed; gives the number of the proposal.</summary>
    /// <param name="rehearsal">Number of a finished rehearsal of just this rule: it is kept as the proposal's evidence.</param>
    /// <param name="reason">Why.</param>
    /// <param name="actor">Who.</param>
    /// <param name="cancel">Ends it.</param>
    /// <exception cref="DecisionRefusedException">It cannot be proposed.</exception>
    public async Task<long> ProposeAsync(long rehearsal, string? reason, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        if (!Roles.Covers(actor.Role, Roles.Analyst)) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; changes of the rules are proposed by an {Roles.Analyst}, {Roles.CalibrationLead} or {Roles.Administrator}.");
        var why = DecisionReason.Of(reason);
        var run = rehearsals.Find(rehearsal) ?? throw new DecisionRefusedException(RefusalKind.Missing, $"There is no rehearsal {rehearsal} (any more); the last {Rehearsals.Kept} are kept. Rehearse the rule again, then propose it.");
        if (run.Report is not { } report) throw new DecisionRefusedException(RefusalKind.Conflict, $"Rehearsal {rehearsal} is {run.State}{(run.Failure is { } failure ? $": {failure}" : "")}; expected one that is done. A rule is proposed with what it would have said.");
        var now = Now;
        var id = await stores.Database.WriteAsync(t =>
        {
            var versions = RuleStore.Versions(t);
            var inForce = StoredRules.Read(versions[^1]);
            var before = inForce.Find(run.Rule.Id);
            if (report.InForce != before?.VersionText)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"The rule '{run.Rule.Id}' has changed since it was rehearsed: then {report.InForce ?? "there was none"}, now {before?.VersionText ?? "there is none"}. Look at the rule in force, rehearse your change of it again, then propose it.");
            if (before is not null && before.VersionText == (run.Rule with { Version = before.Version }).VersionText && before.Enabled == run.Rule.Enabled)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"The rule '{run.Rule.Id}' is in force just so; expected a change.");
            var rule = run.Rule with { Version = (before?.Version ?? 0) + 1 };
            var added = RuleStore.Propose(t, new()
            {
                Source = RuleWords.ByHand,
                Rule = rule.Id,
                Rules = RuleSetWriter.Write(With(inForce, rule)),
                Against = versions[^1].Id,
                ProposedBy = actor.Name,
                ProposedRole = actor.Role,
                ProposedFrom = actor.Address,
                Proposed = now,
                Reason = why,
                SoftwareVersion = SoftwareVersion.Current,
            });
            var evidence = RuleStore.AddEvidence(t, new(0, added, report.ToJson(), now, SoftwareVersion.Current));
            EventStore.Add(t, now, "rules", Text(added), $"{actor.Name} proposed another version of the rule '{rule.Id}': {why}");
            RecordStore.Append(t, actor, RecordKinds.RulesPropose, rule.Id, before is null ? null : Shown(inForce, before), new { Proposal = added, Against = versions[^1].Id, Evidence = evidence, Rule = Shown(inForce, rule) }, why, now);
            return added;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Rules);
        return id;
    }

    /// <summary>Puts a proposal in force from an orbit on; gives the number of the new version.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be approved, or not by this person.</exception>
    public async Task<long> ApproveAsync(long id, RuleDecisionRequest request, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(actor);
        _ = Mission;
        var now = Now;
        var version = await stores.Database.WriteAsync(t =>
        {
            var proposal = Decidable(t, id, actor);
            var why = DecisionReason.Of(request.Reason);
            if (request.Evidence is { } seen && seen != proposal.Evidence)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"Found the rehearsal {seen}; proposal {id} has {(proposal.Evidence is { } newest ? $"rehearsal {newest}" : "none")}. Look at it, and decide again.");
            var versions = RuleStore.Versions(t);
            var (inForce, proposed) = (versions[^1], StoredRules.Read(proposal));
            if ((request.InPlaceOf ?? proposal.Against) != inForce.Id && (request.InPlaceOf is not null || HasMoved(proposal, versions)))
                throw new DecisionRefusedException(RefusalKind.Conflict, $"Version {inForce.Id} of the rules is in force, not version {request.InPlaceOf ?? proposal.Against}, and {(proposal.Rule is { } moved ? $"the rule '{moved}'" : "its rules")} changed between them. Look at what differs, and decide again naming {inForce.Id} as inPlaceOf, or have it proposed anew.");
            var first = request.FromOrbit ?? Math.Max((stores.Orbits.Last ?? -1) + 1, inForce.FromOrbit ?? int.MinValue);
            if (first < 0) throw new DecisionRefusedException(RefusalKind.Invalid, $"Found the first orbit {first}; expected an orbit number, 0 or more.");
            var rules = RuleSetWriter.Write(proposal.Rule is { } rule ? With(StoredRules.Read(inForce), Next(proposed.Find(rule)!, StoredRules.Read(inForce))) : proposed);
            var decision = Row(proposal, RuleWords.Approved, actor, why, now) with { FromOrbit = first, InPlaceOf = inForce.Id };
            var added = RuleStore.AddVersion(t, RuleStore.Decide(t, decision), decision, rules);
            WorkQueue.Mark(t, WorkKinds.TakeUpRules, added, now);
            EventStore.Add(t, now, "rules", Text(id), $"{actor.Name} approved version {added} of the rules ({Subject(proposal)}) from orbit {first} on: {why}");
            RecordStore.Append(t, actor, RecordKinds.RulesApprove, Subject(proposal), new { InForce = inForce.Id }, new { Proposal = id, InForce = added, FromOrbit = first, proposal.Evidence, Rules = JsonNode.Parse(rules) }, why, now);
            return added;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Rules);
        return version;
    }

    /// <summary>Declines a proposal.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be declined, or not by this person.</exception>
    public Task DeclineAsync(long id, string? reason, Actor actor, CancellationToken cancel = default) => EndAsync(id, RuleWords.Declined, RecordKinds.RulesDecline, reason, actor, t => Decidable(t, id, actor), cancel);

    /// <summary>Takes a proposal back that nobody has decided about: its proposer alone.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be withdrawn, or not by this person.</exception>
    public Task WithdrawAsync(long id, string? reason, Actor actor, CancellationToken cancel = default) => EndAsync(id, RuleWords.Withdrawn, RecordKinds.RulesWithdraw, reason, actor, t =>
    {
        var proposal = Open(t, id);
        if (proposal.ProposedBy != actor.Name) throw new DecisionRefusedException(RefusalKind.Forbidden, $"{proposal.ProposedBy} proposed change {id} of the rules, and nobody else can withdraw it. A calibration lead can decline it.");
        return proposal;
    }, cancel);

    private async Task EndAsync(long id, string decision, string kind, string? reason, Actor actor, Func<IDbTransaction, RuleProposalRow> find, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            var proposal = find(t);
            var why = DecisionReason.Of(reason);
            RuleStore.Decide(t, Row(proposal, decision, actor, why, now));
            EventStore.Add(t, now, "rules", Text(id), $"{actor.Name} {(decision == RuleWords.Declined ? "declined" : "withdrew")} a change of the rules ({Subject(proposal)}): {why}");
            RecordStore.Append(t, actor, kind, Subject(proposal), new { Proposal = id, proposal.State }, new { Proposal = id, State = decision }, why, now);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Rules);
    }

    /// <summary>What a proposal would change of the rules in force, rule by rule.</summary>
    public static IReadOnlyList<(string Rule, IReadOnlyList<RuleDifference> Differences)> Differences(RuleSet before, RuleSet after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        return [.. before.Rules.Concat(after.Rules).Select(r => r.Id).Distinct(StringComparer.Ordinal).Select(id => (id, RuleDifference.Of(before.Find(id), after.Find(id)))).Where(d => d.Item2.Count > 0)];
    }

    // Another rule's change in between is no conflict: proposals are about one rule.
    private static bool HasMoved(RuleProposalRow proposal, IReadOnlyList<RuleVersionRow> versions)
    {
        if (proposal.Rule is not { } rule || versions.FirstOrDefault(v => v.Id == proposal.Against) is not { } against) return true;
        var (was, now) = (StoredRules.Read(against).Find(rule), StoredRules.Read(versions[^1]).Find(rule));
        return was?.VersionText != now?.VersionText || was?.Enabled != now?.Enabled;
    }

    // A number that only grows, also when the rule changed since it was proposed.
    private static RuleDeclaration Next(RuleDeclaration rule, RuleSet inForce) => rule with { Version = Math.Max(rule.Version, (inForce.Find(rule.Id)?.Version ?? 0) + 1) };

    private static RuleSet With(RuleSet rules, RuleDeclaration rule) => rules with
    {
        Rules = rules.Find(rule.Id) is null ? [.. rules.Rules, rule] : [.. rules.Rules.Select(r => r.Id == rule.Id ? rule : r)],
    };

    private static JsonNode? Shown(RuleSet rules, RuleDeclaration rule) => JsonNode.Parse(RuleSetWriter.Write(rules with { Rules = [rule] }))!["rules"]![0]!.DeepClone();

    private static RuleProposalRow Open(IDbTransaction transaction, long id)
    {
        var proposal = RuleStore.Get(transaction, id) ?? throw new DecisionRefusedException(RefusalKind.Missing, $"There is no proposal {id} of rules.");
        return proposal.State == RuleWords.Proposed ? proposal : throw new DecisionRefusedException(RefusalKind.Conflict, $"Proposal {id} is {proposal.State} already: a proposal is decided once. Propose the change anew.");
    }

    // The same questions as the schema's triggers, asked first so that the answer is a sentence; the triggers hold for every other road.
    private static RuleProposalRow Decidable(IDbTransaction transaction, long id, Actor actor)
    {
        if (actor.Role != Roles.CalibrationLead) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; changes of the rules are decided by a {Roles.CalibrationLead}.");
        var proposal = Open(transaction, id);
        if (string.Equals(proposal.ProposedBy.Trim(), actor.Name.Trim(), StringComparison.OrdinalIgnoreCase))
            throw new DecisionRefusedException(RefusalKind.Forbidden, $"{actor.Name} proposed this change of the rules and so cannot decide about it. Ask another calibration lead.");
        return proposal;
    }

    private static RuleDecisionRow Row(RuleProposalRow proposal, string decision, Actor actor, string why, Instant now) => new()
    {
        Proposal = proposal.Id,
        Decision = decision,
        Evidence = proposal.Evidence,
        Actor = actor.Name,
        Role = actor.Role,
        Address = actor.Address,
        Time = now,
        Note = why,
        SoftwareVersion = SoftwareVersion.Current,
    };

    private static string Subject(RuleProposalRow proposal) => proposal.Rule ?? "all rules";

    private static string Text(long id) => id.ToString(CultureInfo.InvariantCulture);
}
