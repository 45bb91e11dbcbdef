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
    /// <summary>A proposal; null where there is no such set. <paramref name="start"/>: the start that the form has.</summary>
    public ProposalView? Read(long id, MissionState mission, DecisionRequest? start = null)
    {
        ArgumentNullException.ThrowIfNull(mission);
        var queries = new CoefficientsQueries(stores);
        var sets = queries.Sets(mission);
        if (sets.FirstOrDefault(s => s.Id == id) is not { } set) return null;
        var isOpen = set.State == CoefficientDecision.Proposed;
        var row = Seen(stores, id);
        var standing = isOpen && row is not null ? desk.GroundOf(id) : null;
        // Until a person says otherwise the form is about the start that the evidence is about.
        start ??= new() { FromOrbit = standing?.Ground.ChosenOrbit };
        var (outlook, refusal) = isOpen ? Outlook(id, start) : (null, null);
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
            Standing = standing,
            Start = start,
            StartRefusal = start.FromOrbit is null ? null : refusal,
            Again = isOpen && outlook is not null ? desk.Again(id, start) : null,
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
        return Seen(stores, id) is { } row ? EvidenceJson.Read(row.Document) : null;
    }

    // Of a decided proposal what its decider could see; else the newest.
    private static CoefficientEvidenceRow? Seen(Stores stores, long id) => stores.Coefficients.Decisions(id) is [var first, ..]
        ? first.Evidence is { } seen ? stores.Coefficients.EvidenceById(seen) : null : stores.Coefficients.NewestEvidence(id);

    private (DecisionOutcome?, string?) Outlook(long id, DecisionRequest start)
    {
        try
        {
            return (desk.Outlook(id, start), null);
        }
        catch (DecisionRefusedException refused)
        {
            // Its validity names no orbit to begin with, or the form names one that will not do.
            return (null, refused.Message);
        }
    }
}
