using System.Data;
using System.Globalization;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>
/// Proposals and decisions about coefficient sets: the one road of pages, API and the program itself. Every step reads, checks and writes in one transaction, so of two decisions at once the second sees the first.
/// </summary>
public sealed class CoefficientDesk(Stores stores, PipelineEngine engine, ChangeFeed changes, TimeProvider clock)
{
    private readonly EvidenceShelf evidence = new(stores);

    /// <summary>Longest reason, characters (chosen: a page of text).</summary>
    public const int LongestReason = DecisionReason.Longest;

    /// <summary>Longest name of a set, characters (chosen: a line).</summary>
    public const int LongestName = 100;

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private MissionState Mission => engine.Mission ?? throw new DecisionRefusedException(RefusalKind.Conflict, "The mission is being opened; try again in a moment.");

    /// <summary>Proposes a set; gives its id.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be proposed.</exception>
    public async Task<long> ProposeAsync(CoefficientProposal proposal, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(proposal);
        ArgumentNullException.ThrowIfNull(actor);
        var mission = Mission;
        if (mission.Instrument is null) throw new DecisionRefusedException(RefusalKind.Conflict, "This mission has no instrument (housekeeping only), so it has no coefficients.");
        if (proposal.Source == CoefficientSource.Profile) throw new ArgumentException("Only a profile proposes with the source 'profile'.", nameof(proposal));
        if (actor.Role != Roles.System && !Roles.Covers(actor.Role, Roles.Analyst))
            throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; coefficient sets are proposed by an {Roles.Analyst}, {Roles.CalibrationLead} or {Roles.Administrator}.");
        // Whoever holds the token may be a lead, who would then approve a proposal of their own.
        if (actor.Name == Actor.Bootstrap)
            throw new DecisionRefusedException(RefusalKind.Forbidden, "Found the bootstrap token, behind which no person is named; coefficient sets are proposed by a person. Sign in, or use a personal token (page Account).");
        var reason = DecisionReason.Of(proposal.Reason);
        CheckName(proposal.Set.Name);
        var (set, now) = (proposal.Set, Now);
        var id = await stores.Database.WriteAsync(t =>
        {
            var against = Timeline(t, mission).At(mission.Orbits.FirstNode(set.ValidFrom)?.Start ?? set.ValidFrom)?.SetId;
            var (added, isNew) = CoefficientStore.Propose(t, new()
            {
                Name = set.Name,
                Json = CoefficientPackage.Write(set),
                ValidFrom = set.ValidFrom,
                ProposedBy = actor.Name,
                ProposedRole = actor.Role,
                ProposedFrom = actor.Address,
                Proposed = now,
                Source = proposal.Source,
                Reason = reason,
                Basis = proposal.Basis,
                Against = against,
                SoftwareVersion = SoftwareVersion.Current,
            });
            if (!isNew)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"Just this set, name and validity included, is here already as number {added} ({CoefficientStore.Get(t, added)!.State}). Give other numbers another name; a set that was approved can be reinstated.");
            if (CoefficientStore.Names(t).FirstOrDefault(s => string.Equals(s.Name, set.Name, StringComparison.OrdinalIgnoreCase) && s.Id != added) is { Id: > 0 } same)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"Set number {same.Id} is named '{same.Name}' too; expected a name of its own: people and files tell sets by it.");
            if (proposal.Fit is { } fit) CoefficientStore.AddFit(t, added, fit.ToJson());
            long? shown = proposal.Evidence is { } computed ? AddEvidence(t, added, against, computed, now) : null;
            EventStore.Add(t, now, "coefficients", Text(added), $"{actor.Name} proposed the coefficient set '{set.Name}': {reason}");
            RecordStore.Append(t, actor, RecordKinds.CoefficientsPropose, set.Name, null,
                new { Id = added, Sha256 = CoefficientStore.Get(t, added)!.Hash, ValidFrom = set.ValidFrom.ToString(), proposal.Source, proposal.Basis, Against = against, Evidence = shown, EvidenceSha256 = HashOf(proposal.Evidence), FitSha256 = HashOf(proposal.Fit?.ToJson()) }, reason, now);
            return added;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients, id);
        return id;
    }

    /// <summary>Adds computed evidence for a proposed set; gives its id. <paramref name="against"/>: the set that it was compared with.</summary>
    public async Task<long> AddEvidenceAsync(long id, long? against, string document, CancellationToken cancel = default)
    {
        var now = Now;
        var added = await stores.Database.WriteAsync(t => AddEvidence(t, id, against, document, now), cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients, id);
        return added;
    }

    /// <summary>Puts a proposed set in force.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be approved, or not by this person.</exception>
    public Task<DecisionOutcome> ApproveAsync(long id, DecisionRequest request, Actor actor, CancellationToken cancel = default) => PutInForceAsync(id, CoefficientDecision.Approved, request, actor, cancel);

    /// <summary>Puts a set in force again that was approved once.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be reinstated, or not by this person.</exception>
    public Task<DecisionOutcome> ReinstateAsync(long id, DecisionRequest request, Actor actor, CancellationToken cancel = default) => PutInForceAsync(id, CoefficientDecision.Reinstated, request, actor, cancel);

    /// <summary>Declines a proposed set. <paramref name="evidence"/>: the evidence that the decider saw; null: none.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be declined, or not by this person.</exception>
    public async Task DeclineAsync(long id, string? reason, long? evidence, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            var set = Decidable(t, id, actor, CoefficientDecision.Declined);
            var why = DecisionReason.Of(reason);
            var seen = CheckSeen(t, set, evidence);
            CoefficientStore.Decide(t, Row(set, CoefficientDecision.Declined, actor, why, now) with { Evidence = evidence });
            EventStore.Add(t, now, "coefficients", Text(id), $"{actor.Name} declined the coefficient set '{set.Name}': {why}");
            RecordStore.Append(t, actor, RecordKinds.CoefficientsDecline, set.Name, new { Id = id, set.State }, new { Id = id, State = CoefficientDecision.Declined, Evidence = evidence, EvidenceSha256 = HashOf(seen?.Document) }, why, now);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients, id);
    }

    /// <summary>Takes back a proposal that nobody has decided about. <paramref name="evidence"/>: the evidence that its proposer saw; null: none. Nothing is put in force by it, so newer evidence is no hindrance.</summary>
    /// <exception cref="DecisionRefusedException">It cannot be withdrawn, or not by this person.</exception>
    public async Task WithdrawAsync(long id, string? reason, long? evidence, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            var set = CoefficientStore.Get(t, id) ?? throw Missing(id);
            if (set.State != CoefficientDecision.Proposed) throw new DecisionRefusedException(RefusalKind.Conflict, $"The set '{set.Name}' is {set.State} already; expected a proposal that nobody has decided about.");
            if (set.ProposedBy != actor.Name) throw new DecisionRefusedException(RefusalKind.Forbidden, $"{set.ProposedBy} proposed the set '{set.Name}', and nobody else can withdraw it. A calibration lead can decline it.");
            var why = DecisionReason.Of(reason);
            var seen = evidence is { } named ? stores.Coefficients.EvidenceById(named) : null;
            if (evidence is not null && seen?.SetId != id) throw new DecisionRefusedException(RefusalKind.Invalid, $"Found the evidence {evidence}, which is none of the set '{set.Name}'; expected the number of one that you saw, or none.");
            CoefficientStore.Decide(t, Row(set, CoefficientDecision.Withdrawn, actor, why, now) with { Evidence = evidence });
            EventStore.Add(t, now, "coefficients", Text(id), $"{actor.Name} withdrew the coefficient set '{set.Name}': {why}");
            RecordStore.Append(t, actor, RecordKinds.CoefficientsWithdraw, set.Name, new { Id = id, set.State }, new { Id = id, State = CoefficientDecision.Withdrawn, Evidence = evidence, EvidenceSha256 = HashOf(seen?.Document) }, why, now);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients, id);
    }

    /// <summary>What an approval (or, for a set that was approved once, a reinstatement) would do as things stand.</summary>
    /// <exception cref="DecisionRefusedException">The start that is asked for is none.</exception>
    public DecisionOutcome Outlook(long id, DecisionRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        var set = stores.Coefficients.Get(id) ?? throw Missing(id);
        return Outcome(set, set.State is CoefficientDecision.Approved or CoefficientDecision.Reinstated, request, DecidedTimeline.Of(stores.Coefficients.Decisions(), Mission.Orbits), Mission);
    }

    /// <summary>What an approval would make again as things stand, and how long that takes at the pace that was measured here.</summary>
    /// <exception cref="DecisionRefusedException">The start that is asked for is none.</exception>
    public ReprocessingOutlook Again(long id, DecisionRequest request) => ReprocessingForecast.Of(Outlook(id, request), evidence.Newest(id)?.Reprocessing.SecondsAnOrbit ?? double.NaN, Mission, stores);

    /// <summary>What the newest evidence of a set rests on, and whether that has moved; null without evidence that says so.</summary>
    public EvidenceStanding? GroundOf(long id) => stores.Coefficients.Head(id) is { } head ? GroundOf(head) : null;

    /// <summary>As <see cref="GroundOf(long)"/>, of a head that was read.</summary>
    public EvidenceStanding? GroundOf(CoefficientHead set)
    {
        ArgumentNullException.ThrowIfNull(set);
        return engine.Mission is { } mission && set.EvidenceId is { } number ? evidence.Standing(set.Id, number, mission) : null;
    }

    private async Task<DecisionOutcome> PutInForceAsync(long id, string decision, DecisionRequest request, Actor actor, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(actor);
        var (mission, now) = (Mission, Now);
        var outcome = await stores.Database.WriteAsync(t =>
        {
            var set = Decidable(t, id, actor, decision);
            var why = DecisionReason.Of(request.Reason);
            // Going back is about what was in force, not about evidence: it names some only where the decider looked at it.
            var newest = decision == CoefficientDecision.Approved || request.Evidence is not null ? CheckSeen(t, set, request.Evidence) : null;
            CheckGround(set, request, mission);
            var result = Outcome(set, decision == CoefficientDecision.Reinstated, request, Timeline(t, mission), mission);
            if (result.InPlaceOf == id) throw new DecisionRefusedException(RefusalKind.Conflict, $"The set '{set.Name}' is in force at {Place(result)} already.");
            // What the decider knows of the set in force: said, or what the proposal rests on. A set that comes back rests on none.
            var known = request.InPlaceOf ?? (decision == CoefficientDecision.Approved ? newest?.Against ?? set.Against : null);
            if (known != result.InPlaceOf) throw NotSeen(t, set, known, request.InPlaceOf is not null, result, mission);
            var row = Row(set, decision, actor, why, now) with
            {
                FromTime = result.From,
                FromOrbit = result.Orbit,
                OverLater = request.OverLater,
                InPlaceOf = result.InPlaceOf,
                Evidence = request.Evidence,
            };
            WorkQueue.Mark(t, WorkKinds.TakeUpDecision, CoefficientStore.Decide(t, row), now);
            var approved = decision == CoefficientDecision.Approved;
            EventStore.Add(t, now, "coefficients", Text(id), $"{actor.Name} {decision} the coefficient set '{set.Name}' from {Place(result)} on: {why}");
            RecordStore.Append(t, actor, approved ? RecordKinds.CoefficientsApprove : RecordKinds.CoefficientsReinstate, set.Name, new { InForce = result.InPlaceOf },
                new { InForce = id, From = result.From.ToString(), FromOrbit = result.Orbit, To = result.To?.ToString(), request.OverLater, Evidence = request.Evidence, EvidenceSha256 = HashOf(newest?.Document), Ground = request.Ground }, why, now);
            return result;
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Coefficients, id);
        return outcome;
    }

    // The newest evidence, which the decider must have seen; null where there is none.
    private static CoefficientEvidenceRow? CheckSeen(IDbTransaction transaction, CoefficientSetRow set, long? seen)
    {
        var newest = CoefficientStore.NewestEvidence(transaction, set.Id);
        if (seen == newest?.Id) return newest;
        throw new DecisionRefusedException(RefusalKind.Conflict, newest is null ? $"There is no evidence of '{set.Name}', and you named number {seen} as seen. Look again, and decide by what is there."
            : seen is null ? $"There is evidence of '{set.Name}' (number {newest.Id}, computed {newest.Computed}), and you named none as seen. Look at it, and decide again."
            : $"The evidence of '{set.Name}' was computed again since you looked (number {newest.Id}, you saw number {seen}). Look at it, and decide again.")
        { ForCallers = newest is null ? null : $"What was seen is named as evidence: {newest.Id}." };
    }

    // Another set is in force there than the decider knows of: who decided that, and what to do.
    private static DecisionRefusedException NotSeen(IDbTransaction transaction, CoefficientSetRow set, long? known, bool said, DecisionOutcome result, MissionState mission)
    {
        var names = CoefficientStore.Names(transaction).ToDictionary(n => n.Id, n => n.Name);
        string Named(long? id) => id is { } number ? $"set {number} '{names.GetValueOrDefault(number)}'" : "no set";
        var stretch = Timeline(transaction, mission).At(result.From);
        var by = CoefficientStore.Decisions(transaction).FirstOrDefault(d => d.Id == stretch?.Decision);
        var who = by is null ? "" : $" ({by.Decision} by {by.Actor} on {by.Time}: {by.Note})";
        return new(RefusalKind.Conflict, known is null
            ? $"At {Place(result)} {Named(result.InPlaceOf)} is in force{who}, and the decision about '{set.Name}' does not say that you saw that. Look at it, and decide again."
            : $"At {Place(result)} {Named(result.InPlaceOf)} is in force{who}, not {Named(known)}, {(said ? $"which you saw there when you decided about '{set.Name}'" : $"against which '{set.Name}' was proposed")}. Look at what differs from the set in force, and decide again about what you then see, or have it proposed anew.")
        {
            ForCallers = $"What was seen in force is named as inPlaceOf: {result.InPlaceOf}.",
        };
    }

    // Writers come one after another, so the reads behind this see what the transaction sees.
    private void CheckGround(CoefficientSetRow set, DecisionRequest request, MissionState mission)
    {
        if (request.Evidence is not { } seen || evidence.Standing(set.Id, seen, mission) is not { } standing || standing.Move.Now == (request.Ground ?? standing.Move.Then)) return;
        throw new DecisionRefusedException(RefusalKind.Conflict,
            $"What the evidence {seen} of '{set.Name}' rests on has moved since {(request.Ground is null ? "it was computed" : "you looked")}: {(standing.Move.HasMoved ? standing.Move.Words : "it is again as it was when it was computed")}. Compute it again, or look at what has moved and decide again.")
        { ForCallers = $"The ground that was seen is named as ground: {standing.Move.Now}." };
    }

    // The same questions as the schema's triggers, asked first so that the answer is a sentence; the triggers hold for every other road.
    private static CoefficientSetRow Decidable(IDbTransaction transaction, long id, Actor actor, string decision)
    {
        var set = CoefficientStore.Get(transaction, id) ?? throw Missing(id);
        if (actor.Role != Roles.CalibrationLead)
            throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; coefficient sets are decided by a {Roles.CalibrationLead}.");
        if (string.Equals(set.ProposedBy.Trim(), actor.Name.Trim(), StringComparison.OrdinalIgnoreCase))
            throw new DecisionRefusedException(RefusalKind.Forbidden, $"{actor.Name} proposed the set '{set.Name}' and so cannot decide about it. Ask another calibration lead.");
        var wasApproved = set.State is CoefficientDecision.Approved or CoefficientDecision.Reinstated;
        if (decision == CoefficientDecision.Reinstated && !wasApproved)
            throw new DecisionRefusedException(RefusalKind.Conflict, $"The set '{set.Name}' is {set.State}; expected one that was approved once.");
        if (decision != CoefficientDecision.Reinstated && set.State != CoefficientDecision.Proposed)
            throw new DecisionRefusedException(RefusalKind.Conflict, $"The set '{set.Name}' is {set.State} already: a proposal is decided once. {(wasApproved ? "It can be reinstated from another orbit on." : "Propose it anew under another name.")}");
        return set;
    }

    private DecisionOutcome Outcome(CoefficientSetRow set, bool comesBack, DecisionRequest request, IReadOnlyList<DecidedStretch> timeline, MissionState mission)
    {
        // Going back means: where the set began that is in force now.
        var wanted = request.From ?? (comesBack ? timeline.At(stores.Archive.LastPacketTime ?? set.ValidFrom)?.From ?? set.ValidFrom : set.ValidFrom);
        var orbit = request.FromOrbit is { } number ? Orbit(number, mission) : mission.Orbits.FirstNode(wanted);
        var from = orbit?.Start ?? wanted;
        if (from < set.ValidFrom && from > Instant.MinValue)
            throw new DecisionRefusedException(RefusalKind.Invalid, $"Found the start {Place(new(from, orbit?.Number, null, null))}; the set '{set.Name}' is valid from {set.ValidFrom} on. Choose an orbit that begins at or after that.");
        var next = request.OverLater ? Instant.MaxValue : timeline.Select(s => s.From).Where(f => f > from).DefaultIfEmpty(Instant.MaxValue).Min();
        return new(from, orbit?.Number, timeline.At(from)?.SetId, next == Instant.MaxValue ? null : next);
    }

    private static OrbitSlot Orbit(int number, MissionState mission)
    {
        if (mission.Orbits.Of(number) is not { } orbit)
            throw new DecisionRefusedException(RefusalKind.Invalid, $"Found the orbit {number}, which no orbit file tells of; expected one that is known, or a time.");
        return mission.Orbits.FirstNode(orbit.Start) is { } node && node.Number == number ? orbit
            : throw new DecisionRefusedException(RefusalKind.Invalid, $"Orbit {number} begins where its orbit file does, not at an ascending node; expected an orbit that is known from its node on, such as {number + 1}.");
    }

    private static CoefficientDecisionRow Row(CoefficientSetRow set, string decision, Actor actor, string why, Instant now) => new()
    {
        SetId = set.Id,
        Decision = decision,
        Actor = actor.Name,
        Role = actor.Role,
        Address = actor.Address,
        Time = now,
        Note = why,
        SoftwareVersion = SoftwareVersion.Current,
    };

    private static long AddEvidence(IDbTransaction transaction, long id, long? against, string document, Instant now)
    {
        if (CoefficientStore.Get(transaction, id) is null) throw Missing(id);
        return CoefficientStore.AddEvidence(transaction, new() { SetId = id, Against = against, Computed = now, Document = document, SoftwareVersion = SoftwareVersion.Current });
    }

    // Documents are megabytes: the record holds what they can be told by.
    private static byte[]? HashOf(string? document) => document is null ? null : CoefficientStore.HashOf(document);

    private static IReadOnlyList<DecidedStretch> Timeline(IDbTransaction transaction, MissionState mission) => DecidedTimeline.Of(CoefficientStore.Decisions(transaction), mission.Orbits);

    // Two names that look the same must not be two sets.
    private static void CheckName(string name)
    {
        if (!WholeText.Is(name)) throw new DecisionRefusedException(RefusalKind.Invalid, $"Found a name with {WholeText.Found}; expected {WholeText.Expected}.");
        if (name.Length > LongestName || name != name.Trim() || name.Any(c => char.IsControl(c) || char.GetUnicodeCategory(c) is UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator))
            throw new DecisionRefusedException(RefusalKind.Invalid, $"Found the name '{name}'; expected up to {LongestName} characters that can be seen, without spaces at its ends.");
    }

    private static DecisionRefusedException Missing(long id) => new(RefusalKind.Missing, $"There is no coefficient set with the number {id}.");

    private static string Place(DecisionOutcome outcome) => outcome.From == Instant.MinValue ? "the beginning" : outcome.Orbit is { } orbit ? $"orbit {orbit} ({outcome.From})" : $"{outcome.From}";

    private static string Text(long id) => id.ToString(CultureInfo.InvariantCulture);
}
