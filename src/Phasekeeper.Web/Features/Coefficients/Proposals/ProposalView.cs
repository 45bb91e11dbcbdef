using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>What there is of a proposal's evidence.</summary>
public enum EvidenceState
{
    /// <summary>It is there.</summary>
    There,
    /// <summary>None was computed.</summary>
    None,
    /// <summary>There is some, in a form that this version of the program does not read.</summary>
    OldForm,
}

/// <summary>Everything that the page of a proposal shows at one moment.</summary>
public sealed record ProposalView
{
    /// <summary>The proposed set.</summary>
    public required CoefficientSetItem Set { get; init; }
    /// <summary>All sets, for their names.</summary>
    public required IReadOnlyList<CoefficientSetItem> Sets { get; init; }
    /// <summary>What approving would do as things stand; null where it cannot be said.</summary>
    public DecisionOutcome? Outlook { get; init; }
    /// <summary>Whether there is evidence.</summary>
    public required EvidenceState State { get; init; }
    /// <summary>The evidence; null without any that can be read.</summary>
    public ProposalEvidence? Evidence { get; init; }
    /// <summary>What the fit behind the set said when it was proposed; null for a set made by hand.</summary>
    public FitDocument? Fit { get; init; }
    /// <summary>Number of the evidence; null without any.</summary>
    public long? EvidenceId { get; init; }
    /// <summary>What the evidence rests on and what has become of that; null where it does not say so, and of a decided proposal.</summary>
    public EvidenceStanding? Standing { get; init; }
    /// <summary>What approving from <see cref="Start"/> on would make again as things stand; null where it cannot be said.</summary>
    public ReprocessingOutlook? Again { get; init; }
    /// <summary>The start that the form has; nothing in it: the set's own.</summary>
    public DecisionRequest Start { get; init; } = new();
    /// <summary>Why it cannot begin at that start; null where it can.</summary>
    public string? StartRefusal { get; init; }
    /// <summary>Wall clock when it was computed.</summary>
    public Instant? Computed { get; init; }
    /// <summary>Version of the program that computed it.</summary>
    public string? SoftwareVersion { get; init; }
    /// <summary>The set that the numbers are compared with: that of the evidence, else the one that is in force.</summary>
    public long? ComparedWith { get; init; }
    /// <summary>Numbers that change, the largest first.</summary>
    public required IReadOnlyList<NumberGroup> Numbers { get; init; }
    /// <summary>What decisions about this set make again.</summary>
    public required IReadOnlyList<ReprocessingItem> Reprocessing { get; init; }
    /// <summary>True when more evidence was computed after the decision than the decider saw.</summary>
    public bool HasLaterEvidence { get; init; }

    /// <summary>What to weigh: the evidence's, which hold the fit's; before there is any the fit's own.</summary>
    public IReadOnlyList<FitWarning>? Warnings => Evidence?.Warnings ?? Fit?.Warnings;

    /// <summary>True while nobody has decided.</summary>
    public bool IsOpen => Set.State == Storage.CoefficientDecision.Proposed;

    /// <summary>The set in force where this one would begin; null where it cannot be said.</summary>
    public long? InForceThere => Outlook?.InPlaceOf;

    /// <summary>True when the evidence was computed for another start than the form has.</summary>
    public bool IsForAnotherStart => IsOpen && Standing is { } s && Outlook is { } o && s.Ground.From != o.From;

    /// <summary>True when the proposal is open and rests on a set that is not in force there any more.</summary>
    public bool IsAgainstAnother => IsOpen && !IsForAnotherStart && InForceThere is { } now && now != (EvidenceId is null ? Set.Against : ComparedWith);
}
