using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags;

/// <summary>What a rule found: one condition on one thing over one stretch. Not yet a flag: it has no life of its own.</summary>
public sealed record Condition
{
    /// <summary>What it is about.</summary>
    public required FlagThing Thing { get; init; }
    /// <summary>Version of the rule: its stated number and a fingerprint of its parameters.</summary>
    public required string RuleVersion { get; init; }
    /// <summary>Kind of the rule.</summary>
    public required string RuleKind { get; init; }
    /// <summary>Severity reached.</summary>
    public required FlagSeverity Severity { get; init; }
    /// <summary>Start (inclusive).</summary>
    public required Instant From { get; init; }
    /// <summary>Start of the whole condition where an earlier version of the rules judges its first part; null = <see cref="From"/>.</summary>
    public Instant? Since { get; init; }
    /// <summary>End (exclusive for orbits; the last sample for channels).</summary>
    public required Instant To { get; init; }
    /// <summary>First orbit touched.</summary>
    public required int FirstOrbit { get; init; }
    /// <summary>Last orbit touched.</summary>
    public required int LastOrbit { get; init; }
    /// <summary>Worst value, in <see cref="Unit"/>; NaN when the ground is not a number.</summary>
    public required double Value { get; init; }
    /// <summary>The limit it passed, in <see cref="Unit"/>; NaN when there is none.</summary>
    public required double Limit { get; init; }
    /// <summary>Unit of value and limit.</summary>
    public required string Unit { get; init; }
    /// <summary>How bad, to find the worst of several of the same severity: larger is worse.</summary>
    public required double Excess { get; init; }
    /// <summary>The sentence about the worst point, with numbers and units.</summary>
    public required string Text { get; init; }
    /// <summary>Evidence.</summary>
    public required FlagEvidence Evidence { get; init; }
    /// <summary>Winds put in doubt; null = none.</summary>
    public WindsInDoubt? Winds { get; init; }

    /// <summary>The sentence with the stretch it holds for.</summary>
    public string Message() => (FirstOrbit == LastOrbit ? Text : $"{Text} Worst of {FlagText.Orbits(FirstOrbit, LastOrbit)}.")
        + (Evidence.Signals.Count > 1 ? $" Charts over their limits: {Evidence.SignalWords()}." : "");
}
