using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>Something that happened to the instrument: a change point of a series, a standing flag, a gap.</summary>
/// <param name="From">Start.</param>
/// <param name="To">End; equal to the start for a moment.</param>
/// <param name="Text">What it was, in a few words.</param>
/// <param name="View">View; null = all.</param>
/// <param name="Line">Line; null = all.</param>
public sealed record FitEvent(Instant From, Instant To, string Text, string? View, string? Line);

/// <summary>How a number has drifted before, from the drift summary of its tracker. Only the direction is used, so the tracker's unit need not be the number's.</summary>
/// <param name="Number">The number, as in <see cref="CoefficientNumber"/>.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="LowPerMonth">Lower end of the 95 % interval of the change in 30 days.</param>
/// <param name="HighPerMonth">Upper end.</param>
public sealed record AgeingTrend(string Number, string? View, string? Line, double LowPerMonth, double HighPerMonth);

/// <summary>What a fit must know besides its orbits.</summary>
public sealed record FitSurroundings
{
    /// <summary>Zero wind of the weeks before the window's end, one a line; empty = none was solved for.</summary>
    public IReadOnlyList<ZeroWindEstimate> ZeroWind { get; init; } = [];
    /// <summary>Planned activities.</summary>
    public IReadOnlyList<PlannedActivity> Activities { get; init; } = [];
    /// <summary>Events.</summary>
    public IReadOnlyList<FitEvent> Events { get; init; } = [];
    /// <summary>Moments at which another coefficient set came into force.</summary>
    public IReadOnlyList<Instant> SetChanges { get; init; } = [];
    /// <summary>Earlier drifts of numbers.</summary>
    public IReadOnlyList<AgeingTrend> Ageing { get; init; } = [];
}
