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
    Instant PlotFrom, Instant PlotTo, SeriesKey? Series = null, string? Channel = null, string? CoefficientSet = null)
{
    /// <summary>Every chart that signals, where the ground is charts: the first to signal first. Else empty.</summary>
    public IReadOnlyList<ChartSignal> Signals { get; init; } = [];

    /// <summary>By content, signals included.</summary>
    public bool Equals(FlagEvidence? other) => other is not null && PlotFrom == other.PlotFrom && PlotTo == other.PlotTo && Series == other.Series && Channel == other.Channel
        && CoefficientSet == other.CoefficientSet && Signals.SequenceEqual(other.Signals);

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(PlotFrom, PlotTo, Series, Channel, CoefficientSet, Signals.Count);

    /// <summary>"F green (EWMA from orbit 12, CUSUM from orbit 15); A green (CUSUM from orbit 16)"; empty without signals.</summary>
    public string SignalWords() => string.Join("; ", Signals.GroupBy(s => s.Where()).Select(g => $"{g.Key} ({string.Join(", ", g.Select(s => $"{s.Chart} from orbit {s.FirstOrbit}"))})"));

    /// <summary>The series that signal, as words that a set of them can be compared by.</summary>
    public IEnumerable<string> SignalSeries() => Signals.Select(s => s.Where()).Distinct();
}
