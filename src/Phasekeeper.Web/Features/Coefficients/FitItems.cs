using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients.Evidence;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>What is to be fitted on which orbits.</summary>
/// <param name="FirstOrbit">First orbit of the window; required.</param>
/// <param name="LastOrbit">Last orbit of the window; required.</param>
/// <param name="Parts">What is fitted: thermalSlope, thermalLag, lampReference, imageShift, dark, zeroWind, visibility, badSamples; required.</param>
/// <param name="HoldOutEvery">Every so-many-th orbit is held out, and the last fifth of the window besides, to judge the fit by; 0: none. Default 4.</param>
public record FitBody(int? FirstOrbit, int? LastOrbit, IReadOnlyList<FitPart>? Parts, int? HoldOutEvery)
{
    /// <summary>Without a word.</summary>
    public FitBody() : this(null, null, null, null)
    {
    }

    /// <summary>The request.</summary>
    /// <exception cref="DecisionRefusedException">Something is missing.</exception>
    public FitRequest ToRequest()
    {
        var request = new FitRequest { FirstOrbit = Needed(FirstOrbit, "firstOrbit"), LastOrbit = Needed(LastOrbit, "lastOrbit"), Parts = Parts ?? [] };
        return HoldOutEvery is { } every ? request with { HoldOutEvery = every } : request;
    }

    private static int Needed(int? given, string key) => given ?? throw new DecisionRefusedException(RefusalKind.Invalid, $"$.{key}: found nothing; expected the number of an orbit.");
}

/// <summary>A fit to be proposed.</summary>
/// <param name="FirstOrbit">First orbit of the window; required.</param>
/// <param name="LastOrbit">Last orbit of the window; required.</param>
/// <param name="Parts">What is fitted; required.</param>
/// <param name="HoldOutEvery">Every so-many-th orbit is held out.</param>
/// <param name="Name">Name of the set; required.</param>
/// <param name="FromOrbit">Orbit from which it is to be valid; default: the first of the window.</param>
/// <param name="Reason">Why; required.</param>
/// <param name="Trial">Name of a fit that was tried (trial of its answer): its numbers are proposed as they were answered, and nothing else of what is fitted is needed. Default: fitted now.</param>
public sealed record FitProposalBody(int? FirstOrbit, int? LastOrbit, IReadOnlyList<FitPart>? Parts, int? HoldOutEvery, string? Name, int? FromOrbit, string? Reason, string? Trial = null) : FitBody(FirstOrbit, LastOrbit, Parts, HoldOutEvery)
{
    /// <summary>Without a word.</summary>
    public FitProposalBody() : this(null, null, null, null, null, null, null)
    {
    }
}

/// <summary>A fit that was computed and not proposed.</summary>
/// <param name="Trial">Names it while the program keeps it, to be proposed with just these numbers: the last dozen fits since its start.</param>
/// <param name="From">The set that it began from, in force at the end of the window.</param>
/// <param name="FromName">Its name.</param>
/// <param name="Fitted">Orbits that were fitted.</param>
/// <param name="HeldOut">Orbits that were held out among them.</param>
/// <param name="HeldOutLater">Orbits that were held out and are later than all that were fitted.</param>
/// <param name="Numbers">Fitted numbers with their 1σ, before and after.</param>
/// <param name="NewBadSamples">Samples added to the map of bad samples.</param>
/// <param name="Warnings">What to weigh.</param>
/// <param name="Residuals">Residuals with the set that it began from and with the fitted one.</param>
/// <param name="ComputedInS">Time that it took, s.</param>
public sealed record FitTrialItem(
    string Trial, long From, string FromName, IReadOnlyList<int> Fitted, IReadOnlyList<int> HeldOut, IReadOnlyList<int> HeldOutLater, IReadOnlyList<FittedNumber> Numbers, IReadOnlyList<BadSample> NewBadSamples, IReadOnlyList<FitWarning> Warnings,
    IReadOnlyList<ResidualChange> Residuals, double ComputedInS)
{
    /// <summary>The item of a trial.</summary>
    public static FitTrialItem Of(FitTrial t) => new(t.Id, t.From, t.FromName, t.Fitted, t.HeldOut, t.HeldOutLater, t.Result.Numbers, t.Result.NewBadSamples, t.Result.Warnings, t.Residuals, t.ComputedInS);
}

/// <summary>The computed evidence of a proposal.</summary>
/// <param name="Set">The proposed set.</param>
/// <param name="EvidenceId">The newest evidence; null while there is none.</param>
/// <param name="Computed">Wall clock.</param>
/// <param name="SoftwareVersion">Version of the program that computed it.</param>
/// <param name="Progress">How far a computation is that waits, runs or came to nothing; null for none.</param>
/// <param name="Evidence">The document; null while there is none that this version of the program reads.</param>
/// <param name="Ground">What has become of what it rests on; null where it does not say what that is.</param>
/// <param name="Reprocessing">What approving would make again as things stand, from where the evidence has it; null for a set that is decided, or that cannot begin there.</param>
public sealed record EvidenceItem(long Set, long? EvidenceId, Instant? Computed, string? SoftwareVersion, EvidenceProgress? Progress, ProposalEvidence? Evidence, GroundItem? Ground, ReprocessingOutlook? Reprocessing);

/// <summary>What has become of what evidence rests on.</summary>
/// <param name="HasMoved">True: it would come out otherwise, or may.</param>
/// <param name="ChangedOrbits">Orbits that were looked at and have changed.</param>
/// <param name="MoreOrbits">Orbits that it would look at besides.</param>
/// <param name="OtherVersion">True: another version of the program computes it.</param>
/// <param name="FromOrbit">The orbit from which the set was taken to begin; null where none was known.</param>
/// <param name="Now">Names the ground as it is: send it as ground with a decision on this evidence.</param>
public sealed record GroundItem(bool HasMoved, IReadOnlyList<int> ChangedOrbits, int MoreOrbits, bool OtherVersion, int? FromOrbit, string Now)
{
    /// <summary>The item of where evidence stands; null for none.</summary>
    public static GroundItem? Of(EvidenceStanding? s) => s is null ? null : new(s.Move.HasMoved, s.Move.Changed, s.Move.MoreOrbits, s.Move.OtherVersions, s.Ground.Orbit, s.Move.Now);
}

/// <summary>From where on evidence is to be computed.</summary>
/// <param name="FromOrbit">The orbit from which the set is taken to begin. Default: as the newest evidence has it, else the set's own validity.</param>
public sealed record EvidenceBody(int? FromOrbit = null)
{
    /// <summary>Without a word.</summary>
    public EvidenceBody() : this(FromOrbit: null)
    {
    }
}
