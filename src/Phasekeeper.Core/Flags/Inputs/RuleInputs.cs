using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>
/// All that rules look at, over one stretch of orbits: plain values, filled by the caller. A rule's outcome is a function of
/// this alone, so a rule runs over any history the same way as over new data.
/// </summary>
public sealed record RuleInputs
{
    /// <summary>First orbit that the lists cover.</summary>
    public required int FirstOrbit { get; init; }
    /// <summary>Last orbit that the lists cover.</summary>
    public required int LastOrbit { get; init; }
    /// <summary>The orbits' times.</summary>
    public required OrbitMap Orbits { get; init; }
    /// <summary>Tracker series.</summary>
    public IReadOnlyList<SeriesHistory> Series { get; init; } = [];
    /// <summary>Channel samples.</summary>
    public IReadOnlyList<ChannelStretch> Channels { get; init; } = [];
    /// <summary>Phase-folded profiles, in any order.</summary>
    public IReadOnlyList<ChannelProfile> Profiles { get; init; } = [];
    /// <summary>Arrivals, in any order.</summary>
    public IReadOnlyList<OrbitArrival> Arrivals { get; init; } = [];
    /// <summary>Lamp exposures, in any order.</summary>
    public IReadOnlyList<LampArrival> Lamps { get; init; } = [];
    /// <summary>Intake events, in any order.</summary>
    public IReadOnlyList<IntakeEvent> Events { get; init; } = [];
    /// <summary>Coverage gaps, in any order.</summary>
    public IReadOnlyList<CoverageGap> CoverageGaps { get; init; } = [];
    /// <summary>Coefficient set in force per orbit (always filled where one was: it is part of every flag's evidence).</summary>
    public IReadOnlyList<CoefficientUse> Coefficients { get; init; } = [];
    /// <summary>Image-shift steps, in any order.</summary>
    public IReadOnlyList<ImageShiftStep> Steps { get; init; } = [];
    /// <summary>Spikes per exposure, in any order.</summary>
    public IReadOnlyList<SpikeCount> Spikes { get; init; } = [];
    /// <summary>Expected effects of activities that still stand after their time, in any order; those that touch the orbits, each with its whole length.</summary>
    public IReadOnlyList<Activities.ActivityOverrun> Overruns { get; init; } = [];

    /// <summary>Name of the set in force on an orbit; null when none was.</summary>
    public string? CoefficientSetOf(int orbit)
    {
        foreach (var use in Coefficients)
            if (use.Orbit == orbit) return use.Set;
        return null;
    }

    /// <summary>Orbit of a time; throws when no orbit is known at all.</summary>
    public OrbitSpan OrbitAt(Instant time) => Orbits.At(time)
        ?? throw new InvalidOperationException($"No orbit is known around {time}; rule inputs need the spans of orbits {FirstOrbit} to {LastOrbit}.");
}
