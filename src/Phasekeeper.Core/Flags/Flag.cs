using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// One condition on one thing over one stretch of time (domain.md section 5): raised once, extended while it lasts, withdrawn
/// visibly when later data remove its ground. This is what rules derive from data; what people do with it is its life (<see cref="Life.FlagLife"/>). A flag advises; it never
/// replaces the mission's flight rules.
/// </summary>
public sealed record Flag
{
    /// <summary>Id, see <see cref="FlagId"/>.</summary>
    public required string Id { get; init; }
    /// <summary>What it is about: rule, subject, view, line.</summary>
    public required FlagThing Thing { get; init; }
    /// <summary>Kind of the rule.</summary>
    public required string RuleKind { get; init; }
    /// <summary>Version of the rule.</summary>
    public required string RuleVersion { get; init; }
    /// <summary>Severity.</summary>
    public required FlagSeverity Severity { get; init; }
    /// <summary>State.</summary>
    public required FlagState State { get; init; }
    /// <summary>Start.</summary>
    public required Instant From { get; init; }
    /// <summary>End so far.</summary>
    public required Instant To { get; init; }
    /// <summary>First orbit touched.</summary>
    public required int FirstOrbit { get; init; }
    /// <summary>Last orbit touched.</summary>
    public required int LastOrbit { get; init; }
    /// <summary>Worst value; NaN when the ground is not a number.</summary>
    public required double Value { get; init; }
    /// <summary>Limit; NaN when there is none.</summary>
    public required double Limit { get; init; }
    /// <summary>Unit of value and limit.</summary>
    public required string Unit { get; init; }
    /// <summary>Plain sentence with numbers and units.</summary>
    public required string Message { get; init; }
    /// <summary>Evidence.</summary>
    public required FlagEvidence Evidence { get; init; }
    /// <summary>Winds put in doubt; null = none.</summary>
    public WindsInDoubt? Winds { get; init; }
    /// <summary>Why it was withdrawn; null while it stands.</summary>
    public string? WithdrawnReason { get; init; }
    /// <summary>Id of the flag that carries the condition on, when it was joined into another; else null.</summary>
    public string? ContinuedBy { get; init; }
    /// <summary>Planned activities that explain it; it stays visible all the same.</summary>
    public IReadOnlyList<Activities.Explanation> ExplainedBy { get; init; } = [];
    /// <summary>Planned activities during which it begins, but which are not expected to cause it.</summary>
    public IReadOnlyList<Activities.Explanation> During { get; init; } = [];

    /// <summary>True unless withdrawn.</summary>
    public bool Stands => State != FlagState.Withdrawn;

    /// <summary>A fresh flag of a condition.</summary>
    public static Flag Of(Condition c) => new()
    {
        Id = FlagId.Of(c.Thing, c.FirstOrbit),
        Thing = c.Thing,
        RuleKind = c.RuleKind,
        RuleVersion = c.RuleVersion,
        Severity = c.Severity,
        State = FlagState.Raised,
        From = c.From,
        To = c.To,
        FirstOrbit = c.FirstOrbit,
        LastOrbit = c.LastOrbit,
        Value = c.Value,
        Limit = c.Limit,
        Unit = c.Unit,
        Message = c.Message(),
        Evidence = c.Evidence,
        Winds = c.Winds,
    };

    /// <summary>True when nothing that is shown or stored differs.</summary>
    public bool SameAs(Flag other) =>
        this with { ExplainedBy = [], During = [] } == other with { ExplainedBy = [], During = [] } && ExplainedBy.SequenceEqual(other.ExplainedBy) && During.SequenceEqual(other.During);
}
