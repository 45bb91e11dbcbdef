using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags;

/// <summary>What to plot, and what was in force, to judge a flag.</summary>
/// <param name="PlotFrom">Start of the plot window.</param>
/// <param name="PlotTo">End of the plot window.</param>
/// <param name="Series">The tracker's series; null when the ground is a channel or a data matter.</param>
/// <param name="Channel">The telemetry channel; null when there is none.</param>
/// <param name="CoefficientSet">Name of the coefficient set in force at the worst point; null when none was.</param>
public sealed record FlagEvidence(
    Instant PlotFrom, Instant PlotTo, SeriesKey? Series = null, string? Channel = null, string? CoefficientSet = null);
