using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Reads what the page of a proposal shows.</summary>
public sealed class ProposalQueries(Stores stores, CoefficientDesk desk)
{
    /// <summary>A proposal; null where there is no such set.</summary>
    public ProposalView? Read(long id, MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        var queries = new CoefficientsQueries(stores);
        var sets = queries.Sets(mission);
        if (sets.FirstOrDefault(s => s.Id == id) is not { } set) return null;
        var isOpen = set.State == CoefficientDecision.Proposed;
        var outlook = isOpen ? Outlook(id) : null;
        var row = Seen(stores.Coefficients.Evidence(id), stores.Coefficients.Decisions(id));
        var evidence = row is null ? null : EvidenceJson.Read(row.Document);
        var fit = stores.Coefficients.Fit(id) is { } text ? FitDocument.Read(text) : null;
        var compared = row?.Against ?? evidence?.Against ?? (isOpen ? outlook?.InPlaceOf : set.Decisions.FirstOrDefault()?.InPlaceOf) ?? set.Against;
        var differences = compared is { } before ? queries.Differences(before, id, mission) ?? [] : [];
        return new()
        {
            Set = set,
            Sets = sets,
            Outlook = outlook,
            State = row is null ? EvidenceState.None : evidence is null ? EvidenceState.OldForm : EvidenceState.There,
            Evidence = evidence,
            Fit = fit,
            EvidenceId = row?.Id,
            Computed = row?.Computed,
            SoftwareVersion = row?.SoftwareVersion,
            ComparedWith = compared,
            Numbers = ChangedNumbers.Of(differences, evidence?.Numbers ?? fit?.Numbers ?? []),
            Reprocessing = [.. queries.Reprocessing().Where(r => r.Set == id)],
            HasLaterEvidence = !isOpen && set.EvidenceId is { } newest && newest != row?.Id,
        };
    }

    /// <summary>The evidence of a proposal as its page shows it; null without any that can be read.</summary>
    public static ProposalEvidence? Evidence(Stores stores, long id)
    {
        ArgumentNullException.ThrowIfNull(stores);
        return Seen(stores.Coefficients.Evidence(id), stores.Coefficients.Decisions(id)) is { } row ? EvidenceJson.Read(row.Document) : null;
    }

    // Of a decided proposal what its decider could see; else the newest.
    private static CoefficientEvidenceRow? Seen(IReadOnlyList<CoefficientEvidenceRow> rows, IReadOnlyList<CoefficientDecisionRow> decisions) =>
        decisions.Count > 0 ? rows.FirstOrDefault(r => r.Id == decisions[0].Evidence) : rows.Count > 0 ? rows[0] : null;

    private DecisionOutcome? Outlook(long id)
    {
        try
        {
            return desk.Outlook(id, new());
        }
        catch (DecisionRefusedException)
        {
            // Its validity names no orbit to begin with: the form asks for one, and says why when it is sent.
            return null;
        }
    }
}
