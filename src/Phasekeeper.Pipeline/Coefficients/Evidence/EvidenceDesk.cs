using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>What people ask of evidence: to compute it again. It is on record, since an approval rests on the newest evidence.</summary>
public sealed class EvidenceDesk(Stores stores, EvidenceBoard board, TimeProvider clock)
{
    /// <summary>Lets the evidence of an undecided proposal be computed again.</summary>
    /// <exception cref="DecisionRefusedException">There is no such proposal, it is decided, or this person may not ask.</exception>
    public async Task AskAsync(long id, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        if (!Roles.Covers(actor.Role, Roles.Analyst)) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; this needs the role {Roles.Analyst}.");
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            var set = CoefficientStore.Get(t, id) ?? throw new DecisionRefusedException(RefusalKind.Missing, string.Create(CultureInfo.InvariantCulture, $"There is no coefficient set with the number {id}."));
            if (set.State != CoefficientDecision.Proposed)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"The set '{set.Name}' is {set.State} already; evidence is computed for proposals that wait for a decision.");
            RecordStore.Append(t, actor, RecordKinds.CoefficientsEvidence, set.Name, null, new { Id = id }, null, now);
        }, cancel).ConfigureAwait(false);
        board.Ask(id);
    }
}
