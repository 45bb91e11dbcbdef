using System.Text.Json;
using System.Text.Json.Serialization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Thresholds;

/// <summary>A flag in a rehearsal. Times are UTC (ISO 8601).</summary>
/// <param name="Id">Id that it has or would have.</param>
/// <param name="About">What it is about, in words.</param>
/// <param name="Severity">notice, warning or critical.</param>
/// <param name="FirstOrbit">First orbit.</param>
/// <param name="LastOrbit">Last orbit.</param>
/// <param name="From">Start.</param>
/// <param name="To">End.</param>
/// <param name="Value">Worst value, in <paramref name="Unit"/>; null when it is no number.</param>
/// <param name="Limit">Limit, in <paramref name="Unit"/>; null when there is none.</param>
/// <param name="Unit">Unit.</param>
/// <param name="Truth">true, false or unknown by the confirmed events.</param>
public sealed record ReportedFlag(string Id, string About, string Severity, int FirstOrbit, int LastOrbit, string From, string To, double? Value, double? Limit, string Unit, string Truth);

/// <summary>A confirmed event in a rehearsal. Times are UTC (ISO 8601).</summary>
/// <param name="Id">Flag id, or "noted-" with the number.</param>
/// <param name="What">Cause, or what was noted.</param>
/// <param name="Real">False: the team called it a false alarm.</param>
/// <param name="FirstOrbit">First orbit.</param>
/// <param name="LastOrbit">Last orbit.</param>
/// <param name="From">Start.</param>
/// <param name="To">End.</param>
/// <param name="FoundByProposed">Whether a flag of the rehearsed rule touches it.</param>
/// <param name="FoundByInForce">Whether a flag of the rule in force, replayed, touches it.</param>
/// <param name="FoundThen">Whether a stored flag touches it.</param>
/// <param name="DelayS">From its start to the start of the first flag of the rehearsed rule, s; null when missed.</param>
public sealed record ReportedEvent(string Id, string What, bool Real, int FirstOrbit, int LastOrbit, string From, string To, bool FoundByProposed, bool FoundByInForce, bool FoundThen, double? DelayS);

/// <summary>Counts of one column of a rehearsal.</summary>
/// <param name="Flags">Flags; true, false and unknown together.</param>
/// <param name="True">Flags that touch a real event.</param>
/// <param name="False">Flags that touch a false alarm alone.</param>
/// <param name="Unknown">Flags that touch no confirmed event.</param>
/// <param name="Found">Real events that a flag touches.</param>
/// <param name="Missed">Real events that none touches.</param>
/// <param name="FlagsPerMonth">Flags in 30 days, from the length of the stretch; null where it has none.</param>
/// <param name="ExpectedFalsePerMonth">Expected false flags a month of a healthy instrument, from the rule's design; null where there is no rule.</param>
public sealed record ReportedCounts(int Flags, int True, int False, int Unknown, int Found, int Missed, double? FlagsPerMonth, double? ExpectedFalsePerMonth)
{
    /// <summary>The counts of a comparison.</summary>
    public static ReportedCounts Of(RehearsalComparison c, double days, double? expected)
    {
        ArgumentNullException.ThrowIfNull(c);
        return new(c.Flags.Count, c.Count(FlagTruth.True), c.Count(FlagTruth.False), c.Count(FlagTruth.Unknown), c.Found, c.Missed, days > 0 ? c.Flags.Count * 30 / days : null, expected);
    }
}

/// <summary>What a rehearsal showed: the flags that a rule would have raised, beside those that were raised and the events that the team has confirmed. It advises; the mission's flight rules decide.</summary>
public sealed record RehearsalReport
{
    /// <summary>Most flags and events of a list that are kept (chosen: what people look at); counts are of all.</summary>
    public const int MostKept = 500;

    /// <summary>Id of the rule.</summary>
    public required string Rule { get; init; }
    /// <summary>Version text of the rule as rehearsed.</summary>
    public required string Proposed { get; init; }
    /// <summary>Version text of the rule in force; null where there is none.</summary>
    public string? InForce { get; init; }
    /// <summary>What differs.</summary>
    public required IReadOnlyList<RuleDifference> Differences { get; init; }
    /// <summary>First orbit of the stretch.</summary>
    public required int FirstOrbit { get; init; }
    /// <summary>Last orbit of the stretch; before the first one where there are no data.</summary>
    public required int LastOrbit { get; init; }
    /// <summary>Start of the stretch, UTC; empty without data.</summary>
    public required string From { get; init; }
    /// <summary>End of the stretch, UTC; empty without data.</summary>
    public required string To { get; init; }
    /// <summary>Counts of the rule as rehearsed.</summary>
    public required ReportedCounts WouldCounts { get; init; }
    /// <summary>Counts of the rule in force, replayed over the same stretch.</summary>
    public required ReportedCounts InForceCounts { get; init; }
    /// <summary>Counts of the flags that are stored.</summary>
    public required ReportedCounts DidCounts { get; init; }
    /// <summary>How the expected number of false flags was computed.</summary>
    public required string ExpectedHow { get; init; }
    /// <summary>Flags that the rehearsed rule would have raised.</summary>
    public required IReadOnlyList<ReportedFlag> Would { get; init; }
    /// <summary>Flags that are stored and stand.</summary>
    public required IReadOnlyList<ReportedFlag> Did { get; init; }
    /// <summary>Confirmed events, false alarms too.</summary>
    public required IReadOnlyList<ReportedEvent> Events { get; init; }

    private static readonly JsonSerializerOptions Options = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase, DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull };

    /// <summary>As JSON, which is how it is kept with a proposal.</summary>
    public string ToJson() => JsonSerializer.Serialize(this, Options);

    /// <summary>A kept report.</summary>
    public static RehearsalReport Read(string json) => JsonSerializer.Deserialize<RehearsalReport>(json, Options) ?? throw new InvalidOperationException("A kept rehearsal is empty; expected a report as JSON.");

    internal static IReadOnlyList<ReportedFlag> Flags(RehearsalComparison comparison) => [.. comparison.Flags.Take(MostKept).Select(j => new ReportedFlag(j.Flag.Id, j.Flag.Thing.Words(), j.Flag.Severity.ToString().ToLowerInvariant(),
        j.Flag.FirstOrbit, j.Flag.LastOrbit, j.Flag.From.ToString(), j.Flag.To.ToString(), Finite(j.Flag.Value), Finite(j.Flag.Limit), j.Flag.Unit, j.Truth.ToString().ToLowerInvariant()))];

    internal static IReadOnlyList<ReportedEvent> EventsOf(RehearsalComparison would, RehearsalComparison inForce, RehearsalComparison did)
    {
        var (replayed, stored) = (Found(inForce), Found(did));
        return [.. would.Events.Concat(would.FalseAlarms).OrderBy(e => e.Event.From).ThenBy(e => e.Event.Id, StringComparer.Ordinal).Take(MostKept).Select(e => new ReportedEvent(e.Event.Id, e.Event.What, e.Event.Truth == EventTruth.Real,
            e.Event.FirstOrbit, e.Event.LastOrbit, e.Event.From.ToString(), e.Event.To.ToString(), e.Found, replayed.Contains(e.Event.Id), stored.Contains(e.Event.Id), Finite(e.DelayS)))];
    }

    private static HashSet<string> Found(RehearsalComparison comparison) => comparison.Events.Concat(comparison.FalseAlarms).Where(e => e.Found).Select(e => e.Event.Id).ToHashSet(StringComparer.Ordinal);

    private static double? Finite(double value) => double.IsFinite(value) ? value : null;
}
