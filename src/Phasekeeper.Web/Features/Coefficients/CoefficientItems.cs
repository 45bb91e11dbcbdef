using System.Text.Json;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>A decision about a set.</summary>
/// <param name="Id">Id; later decisions have larger ones.</param>
/// <param name="Decision">approved | declined | reinstated | withdrawn.</param>
/// <param name="From">In force from here on; null = declined, withdrawn, or from the beginning.</param>
/// <param name="FromOrbit">The orbit that begins there; null where none is known.</param>
/// <param name="OverLater">True: entries that begin later went.</param>
/// <param name="InPlaceOf">The set that was in force there until then.</param>
/// <param name="EvidenceId">The evidence that was there to be seen.</param>
/// <param name="Actor">Who.</param>
/// <param name="Role">In which role.</param>
/// <param name="Time">Wall clock.</param>
/// <param name="Note">Why.</param>
/// <param name="SoftwareVersion">Version of the program that wrote it down.</param>
public sealed record CoefficientDecisionItem(
    long Id, string Decision, Instant? From, int? FromOrbit, bool OverLater, long? InPlaceOf, long? EvidenceId, string Actor, string Role, Instant Time, string Note, string SoftwareVersion)
{
    /// <summary>The item of a stored decision.</summary>
    public static CoefficientDecisionItem Of(CoefficientDecisionRow d) =>
        new(d.Id, d.Decision, d.FromTime == Instant.MinValue ? null : d.FromTime, d.FromOrbit, d.OverLater, d.InPlaceOf, d.Evidence, d.Actor, d.Role, d.Time, d.Note, d.SoftwareVersion);
}

/// <summary>A stretch in which a set is in force.</summary>
/// <param name="From">Start; null = the beginning.</param>
/// <param name="To">End; null = it goes on.</param>
/// <param name="Decision">The decision behind it.</param>
public sealed record InForceItem(Instant? From, Instant? To, long Decision);

/// <summary>A coefficient set with its provenance, evidence and what was decided.</summary>
/// <param name="Id">Number; products name it.</param>
/// <param name="Name">Name.</param>
/// <param name="ValidFrom">From when it was meant.</param>
/// <param name="State">proposed | approved | declined | reinstated | withdrawn: the last decision.</param>
/// <param name="Source">profile | by hand | fit | system.</param>
/// <param name="ProposedBy">Who proposed it.</param>
/// <param name="ProposedRole">In which role.</param>
/// <param name="Proposed">Wall clock of the proposal.</param>
/// <param name="Reason">Why it was proposed.</param>
/// <param name="Basis">From which fit on which data.</param>
/// <param name="Against">The set that was in force where it was meant to begin.</param>
/// <param name="SoftwareVersion">Version of the program that took it in.</param>
/// <param name="Sha256">Of the whole set with its flats: the same numbers, name and validity have the same.</param>
/// <param name="Evidence">The newest computed evidence; {} for none.</param>
/// <param name="EvidenceId">Its id; null when there is none.</param>
/// <param name="EvidenceAgainst">The set that it compares with.</param>
/// <param name="Decisions">Decisions in order.</param>
/// <param name="InForce">When it is in force.</param>
public sealed record CoefficientSetItem(
    long Id, string Name, Instant ValidFrom, string State, string Source, string ProposedBy, string ProposedRole, Instant Proposed, string Reason, string Basis, long? Against, string SoftwareVersion, string Sha256,
    JsonElement Evidence, long? EvidenceId, long? EvidenceAgainst, IReadOnlyList<CoefficientDecisionItem> Decisions, IReadOnlyList<InForceItem> InForce);

/// <summary>One number that differs between two sets.</summary>
/// <param name="Number">Where it stands in the contract's JSON.</param>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="Index">Place in a list.</param>
/// <param name="Unit">Unit.</param>
/// <param name="Before">In the first set.</param>
/// <param name="After">In the second.</param>
/// <param name="Difference">Second minus first.</param>
/// <param name="Remark">What the numbers do not say.</param>
public sealed record CoefficientDifferenceItem(string Number, string? View, string? Line, string? Index, string Unit, double Before, double After, double Difference, string? Remark)
{
    /// <summary>The item of a difference.</summary>
    public static CoefficientDifferenceItem Of(CoefficientDifference d) => new(d.Number, d.View, d.Line, d.Index, d.Unit, d.Before, d.After, d.After - d.Before, d.Remark);
}

/// <summary>What a decision makes again.</summary>
/// <param name="Decision">The decision.</param>
/// <param name="Set">The set that it put in force.</param>
/// <param name="From">Start of the stretch; null = the beginning.</param>
/// <param name="To">End; null = it goes on.</param>
/// <param name="FirstOrbit">First orbit to be made again.</param>
/// <param name="LastOrbit">Last one.</param>
/// <param name="Orbits">How many.</param>
/// <param name="Done">Through.</param>
/// <param name="Working">In work.</param>
/// <param name="Waiting">Not begun.</param>
/// <param name="TakenOver">Taken over by a later decision.</param>
/// <param name="SecondsAnOrbit">Measured pace.</param>
/// <param name="SecondsLeft">At that pace; null where nothing is left or measured.</param>
/// <param name="State">waiting | running | paused | done.</param>
/// <param name="Started">Wall clock.</param>
/// <param name="Finished">Wall clock.</param>
/// <param name="RetiredBy">Who gave up the winds of before; null while they are kept.</param>
/// <param name="Retired">Wall clock.</param>
public sealed record ReprocessingItem(
    long Decision, long Set, Instant? From, Instant? To, int? FirstOrbit, int? LastOrbit, long Orbits, long Done, long Working, long Waiting, long TakenOver, double? SecondsAnOrbit, double? SecondsLeft,
    string State, Instant Started, Instant? Finished, string? RetiredBy, Instant? Retired);

/// <summary>Changes of a day's winds in one group.</summary>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="From">Lower edge of the bin, km or deg; null for all.</param>
/// <param name="To">Upper edge.</param>
/// <param name="Count">Number of winds.</param>
/// <param name="MeanMs">Mean of now minus before, m/s.</param>
/// <param name="RmsMs">Root mean square, m/s.</param>
/// <param name="LargestMs">Furthest from zero, m/s.</param>
/// <param name="MeanSigmaMs">Root mean square of the winds' 1σ, m/s.</param>
public sealed record WindChangeItem(string View, string Line, double From, double To, int Count, double MeanMs, double RmsMs, double LargestMs, double MeanSigmaMs)
{
    /// <summary>The item of a group.</summary>
    public static WindChangeItem Of(WindChangeGroup g) => new(g.View, g.Line, g.From, g.To, g.Count, g.MeanMs, g.RmsMs, g.LargestMs, g.MeanSigmaMs);
}

/// <summary>The body of a decision.</summary>
/// <param name="Reason">Why; required.</param>
/// <param name="FromOrbit">It counts from this orbit on.</param>
/// <param name="From">Or from the first ascending node at or after this time. Default: the set's validity; for a set that comes back the start of the set in force.</param>
/// <param name="InPlaceOf">Number of the set that the decider saw in force there. Default: the one that the proposal was made, and its evidence computed, against; required for a set that comes back.</param>
/// <param name="OverLater">True: also over entries of the time line that begin later. Default: until the next one begins.</param>
/// <param name="Evidence">Number of the evidence that the decider saw; required where there is some. Newer evidence, or a ground that has moved, refuses the decision.</param>
/// <param name="Ground">What the ground of that evidence was when the decider looked (ground.now of its answer). Default: as when it was computed.</param>
public sealed record DecisionBody(string? Reason, int? FromOrbit = null, Instant? From = null, long? InPlaceOf = null, bool OverLater = false, long? Evidence = null, string? Ground = null)
{
    /// <summary>Without a word.</summary>
    public DecisionBody() : this(Reason: null)
    {
    }

    /// <summary>The request.</summary>
    public DecisionRequest ToRequest() => new() { Reason = Reason, FromOrbit = FromOrbit, From = From, InPlaceOf = InPlaceOf, OverLater = OverLater, Evidence = Evidence, Ground = Ground };
}
