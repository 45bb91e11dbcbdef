using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>What is proposed: a set with why and from where. The seam for fits: they make a set, say on which data, and add evidence.</summary>
public sealed record CoefficientProposal
{
    /// <summary>The set.</summary>
    public required CoefficientSet Set { get; init; }
    /// <summary>Why.</summary>
    public required string Reason { get; init; }
    /// <summary>See <see cref="Storage.CoefficientSource"/>.</summary>
    public required string Source { get; init; }
    /// <summary>From which fit on which data; empty for none.</summary>
    public string Basis { get; init; } = "";
    /// <summary>What the fit said, see <see cref="Fits.FitDocument"/>; null for a set made by hand.</summary>
    public Fits.FitDocument? Fit { get; init; }
    /// <summary>Computed evidence, JSON; null: none yet (<see cref="CoefficientDesk.AddEvidenceAsync"/>).</summary>
    public string? Evidence { get; init; }
}

/// <summary>What a decision says besides who decides.</summary>
public sealed record DecisionRequest
{
    /// <summary>Why.</summary>
    public string? Reason { get; init; }
    /// <summary>The orbit from which it counts; null: <see cref="From"/>.</summary>
    public int? FromOrbit { get; init; }
    /// <summary>It counts from the first ascending node at or after this; null: the set's own validity, and for a set that comes back the start of the set in force.</summary>
    public Instant? From { get; init; }
    /// <summary>The set that the decider saw in force there; null: the one that the proposal was made, and its evidence computed, against. A set that comes back rests on none, so there it must be said.</summary>
    public long? InPlaceOf { get; init; }
    /// <summary>The evidence that the decider saw; null: none. An approval is refused where there is other evidence, or where there is some and none was seen.</summary>
    public long? Evidence { get; init; }
    /// <summary>What the ground of that evidence was when the decider looked (<see cref="Evidence.GroundMove.Now"/>); null: as when it was computed. A ground that has moved since refuses the decision.</summary>
    public string? Ground { get; init; }
    /// <summary>True: also over entries of the time line that begin later; false: until the next one.</summary>
    public bool OverLater { get; init; }
}

/// <summary>What a decision would do.</summary>
/// <param name="From">Start; not yet a node where <paramref name="Orbit"/> is null.</param>
/// <param name="Orbit">The orbit that begins there; null beyond every orbit file.</param>
/// <param name="InPlaceOf">The set that is in force there now; null for none.</param>
/// <param name="To">Where the next entry of the time line takes over; null: it goes on.</param>
public sealed record DecisionOutcome(Instant From, int? Orbit, long? InPlaceOf, Instant? To);
