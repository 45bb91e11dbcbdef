namespace Phasekeeper.Core.Flags.Rehearsal;

/// <summary>What is known of a flag by the confirmed events.</summary>
public enum FlagTruth
{
    /// <summary>It touches no confirmed event.</summary>
    Unknown,
    /// <summary>It touches an event that was real.</summary>
    True,
    /// <summary>It touches stretches that the team called a false alarm, and nothing real.</summary>
    False,
}

/// <summary>A flag with what is known of it.</summary>
/// <param name="Flag">The flag.</param>
/// <param name="Truth">What is known.</param>
public sealed record JudgedFlag(Flag Flag, FlagTruth Truth);

/// <summary>An event and which flags found it.</summary>
/// <param name="Event">The event.</param>
/// <param name="Flags">Ids of the flags that touch it, the earliest first; empty = missed.</param>
/// <param name="DelayS">From the start of the event to the start of the first flag, s, at least 0; NaN when missed. A rule that waits for orbits in a row speaks later by these.</param>
public sealed record JudgedEvent(RehearsalEvent Event, IReadOnlyList<string> Flags, double DelayS)
{
    /// <summary>True when a flag touches it.</summary>
    public bool Found => Flags.Count > 0;
}

/// <summary>Flags laid beside confirmed events. Found and missed together are the real events; true, false and unknown together are the flags.</summary>
/// <param name="Flags">Flags, in the order given.</param>
/// <param name="Events">Real events, in the order given.</param>
/// <param name="FalseAlarms">What the team called false alarms, in the order given: found = the rule says it again.</param>
public sealed record RehearsalComparison(IReadOnlyList<JudgedFlag> Flags, IReadOnlyList<JudgedEvent> Events, IReadOnlyList<JudgedEvent> FalseAlarms)
{
    /// <summary>Real events that a flag touches.</summary>
    public int Found => Events.Count(e => e.Found);
    /// <summary>Real events that no flag touches.</summary>
    public int Missed => Events.Count(e => !e.Found);

    /// <summary>Number of flags of which this is known.</summary>
    public int Count(FlagTruth truth) => Flags.Count(f => f.Truth == truth);

    /// <summary>Lays flags beside events. One flag may find several events, and several flags one.</summary>
    public static RehearsalComparison Of(IReadOnlyList<Flag> flags, IReadOnlyList<RehearsalEvent> events)
    {
        ArgumentNullException.ThrowIfNull(flags);
        ArgumentNullException.ThrowIfNull(events);
        return new(
            [.. flags.Select(f => new JudgedFlag(f, TruthOf(f, events)))],
            [.. events.Where(e => e.Truth == EventTruth.Real).Select(e => Judge(e, flags))],
            [.. events.Where(e => e.Truth == EventTruth.FalseAlarm).Select(e => Judge(e, flags))]);
    }

    private static FlagTruth TruthOf(Flag flag, IReadOnlyList<RehearsalEvent> events)
    {
        var truth = FlagTruth.Unknown;
        foreach (var e in events)
        {
            if (!e.Touches(flag)) continue;
            if (e.Truth == EventTruth.Real) return FlagTruth.True;
            truth = FlagTruth.False;
        }
        return truth;
    }

    private static JudgedEvent Judge(RehearsalEvent e, IReadOnlyList<Flag> flags)
    {
        var found = flags.Where(e.Touches).OrderBy(f => f.From).ThenBy(f => f.Id, StringComparer.Ordinal).ToArray();
        return new(e, [.. found.Select(f => f.Id)], found.Length == 0 ? double.NaN : Math.Max(0, found[0].From - e.From));
    }
}
