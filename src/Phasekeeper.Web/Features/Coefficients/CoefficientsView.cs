using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Everything that the page shows at one moment.</summary>
public sealed record CoefficientsView
{
    /// <summary>All sets, in the order of proposals.</summary>
    public required IReadOnlyList<CoefficientSetItem> Sets { get; init; }
    /// <summary>Which is in force when.</summary>
    public required IReadOnlyList<DecidedStretch> Timeline { get; init; }
    /// <summary>The set in force at mission time.</summary>
    public CoefficientSetItem? Now { get; init; }
    /// <summary>Since when; null = the beginning.</summary>
    public Instant? NowFrom { get; init; }
    /// <summary>What approving an undecided proposal would do as it stands, by its number; null where it cannot be said.</summary>
    public required IReadOnlyDictionary<long, DecisionOutcome?> Outlooks { get; init; }
    /// <summary>What decisions make again.</summary>
    public required IReadOnlyList<ReprocessingItem> Reprocessing { get; init; }
    /// <summary>Whether it is held.</summary>
    public bool Paused { get; init; }
    /// <summary>Whether a decision waits to be taken up.</summary>
    public bool TakingUp { get; init; }
    /// <summary>Days with orbits that still have what they had before.</summary>
    public required IReadOnlyList<(DateOnly Day, int Old, int All)> OldDays { get; init; }
    /// <summary>The two sets whose differences are shown.</summary>
    public long? Before { get; init; }
    /// <summary>See <see cref="Before"/>.</summary>
    public long? After { get; init; }
    /// <summary>What differs.</summary>
    public required IReadOnlyList<CoefficientDifference> Differences { get; init; }
    /// <summary>Decisions of which winds of before are kept, and the chosen one first.</summary>
    public required IReadOnlyList<ReprocessingItem> Kept { get; init; }
    /// <summary>Days that can be compared.</summary>
    public required IReadOnlyList<DateOnly> Days { get; init; }
    /// <summary>The chosen one; null when there is none.</summary>
    public DateOnly? Day { get; init; }
    /// <summary>How changes are grouped.</summary>
    public required string By { get; init; }
    /// <summary>The day's changes.</summary>
    public required IReadOnlyList<WindChangeGroup> Groups { get; init; }
    /// <summary>The day's two versions.</summary>
    public DayComparison? Comparison { get; init; }
}
