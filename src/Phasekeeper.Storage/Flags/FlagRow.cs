using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A flag as it stands (contract.md section 4, <c>/api/v1/flags</c>).</summary>
public sealed record FlagRow
{
    /// <summary>Id, which follows from what the flag is about and where it starts.</summary>
    public required string Id { get; init; }
    /// <summary>Rule that raised it.</summary>
    public required string Rule { get; init; }
    /// <summary>Version of the rule.</summary>
    public required string RuleVersion { get; init; }
    /// <summary>The thing: channel, tracker, stream.</summary>
    public required string Subject { get; init; }
    /// <summary>View; null where it does not apply.</summary>
    public string? View { get; init; }
    /// <summary>Line; null where it does not apply.</summary>
    public string? Line { get; init; }
    /// <summary>notice | warning | critical.</summary>
    public required string Severity { get; init; }
    /// <summary>As read: raised, taken, explained, settled, reopened or withdrawn. As written by rules: raised or withdrawn.</summary>
    public required string State { get; init; }
    /// <summary>Revision of its life, see <see cref="Core.Flags.Life.FlagLife.Revision"/>. Read only.</summary>
    public long Revision { get; init; }
    /// <summary>Who has it; null = nobody. Read only.</summary>
    public string? Holder { get; init; }
    /// <summary>Its cause as people stated it; null = not stated. Read only.</summary>
    public string? Cause { get; init; }
    /// <summary>Start of the stretch.</summary>
    public required Instant From { get; init; }
    /// <summary>End of the stretch so far.</summary>
    public required Instant To { get; init; }
    /// <summary>First orbit that it touches.</summary>
    public int? FirstOrbit { get; init; }
    /// <summary>Last orbit that it touches.</summary>
    public int? LastOrbit { get; init; }
    /// <summary>The value that went furthest.</summary>
    public double? Value { get; init; }
    /// <summary>The limit that it left.</summary>
    public double? Limit { get; init; }
    /// <summary>Unit of value and limit.</summary>
    public required string Unit { get; init; }
    /// <summary>One sentence.</summary>
    public required string Message { get; init; }
    /// <summary>Evidence as a JSON object.</summary>
    public string Evidence { get; init; } = "{}";
    /// <summary>Planned activity that explains it; null = none.</summary>
    public string? ExplainedBy { get; init; }
    /// <summary>Name of the coefficient set in force; null when there was none.</summary>
    public string? CoefficientSet { get; init; }
    /// <summary>The whole flag as the rules know it, JSON.</summary>
    public required string Body { get; init; }
    /// <summary>Wall clock when it was raised.</summary>
    public required Instant Raised { get; init; }
    /// <summary>Wall clock of the last change.</summary>
    public required Instant Changed { get; init; }
}
