using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>What people ask of evidence: to compute it again. It is on record, since an approval rests on the newest evidence.</summary>
public sealed class EvidenceDesk(Stores stores, CoefficientDesk desk, EvidenceBoard board, TimeProvider clock)
{
    /// <summary>Lets the evidence of an undecided proposal be computed again.</summary>
    /// <param name="id">Number of the set.</param>
    /// <param name="actor">Who asks.</param>
    /// <param name="start">From where on; null: from where the newest evidence has it.</param>
    /// <param name="cancel">Gives up.</param>
    /// <exception cref="DecisionRefusedException">There is no such proposal, it is decided, it cannot begin there, or this person may not ask.</exception>
    public async Task AskAsync(long id, Actor actor, EvidenceStart? start = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(actor);
        if (!Roles.Covers(actor.Role, Roles.Analyst)) throw new DecisionRefusedException(RefusalKind.Forbidden, $"Found the role '{actor.Role}'; this needs the role {Roles.Analyst}.");
        if (start?.Orbit is { } orbit) desk.Outlook(id, new() { FromOrbit = orbit });
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        await stores.Database.WriteAsync(t =>
        {
            var set = CoefficientStore.Get(t, id) ?? throw new DecisionRefusedException(RefusalKind.Missing, string.Create(CultureInfo.InvariantCulture, $"There is no coefficient set with the number {id}."));
            if (set.State != CoefficientDecision.Proposed)
                throw new DecisionRefusedException(RefusalKind.Conflict, $"The set '{set.Name}' is {set.State} already; evidence is computed for proposals that wait for a decision.");
            RecordStore.Append(t, actor, RecordKinds.CoefficientsEvidence, set.Name, null, new { Id = id, FromOrbit = start?.Orbit }, null, now);
        }, cancel).ConfigureAwait(false);
        board.Ask(id, start);
    }
}
