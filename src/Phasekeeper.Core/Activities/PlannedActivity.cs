using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Activities;

/// <summary>One occurrence of a planned activity.</summary>
/// <param name="Id">Unique and stable: UID, and the occurrence's start when the event repeats.</param>
/// <param name="Kind">Kind; tells which flags it is expected to cause, unless <paramref name="Expects"/> does.</param>
/// <param name="Summary">Title as people wrote it.</param>
/// <param name="From">Start (inclusive).</param>
/// <param name="To">End (exclusive).</param>
/// <param name="Description">Longer text; null = none.</param>
/// <param name="Expects">Topics of flags that this one is expected to cause, in rising order; null = those of its kind.</param>
public sealed record PlannedActivity(string Id, ActivityKind Kind, string Summary, Instant From, Instant To, string? Description = null, IReadOnlyList<FlagTopic>? Expects = null)
{
    /// <summary>Topics of flags that it is expected to cause.</summary>
    public IReadOnlyList<FlagTopic> ExpectedTopics => Expects ?? Kind.Expects;

    /// <summary>From when on its effects may show.</summary>
    public Instant EffectsFrom => From.AddSeconds(-Kind.LeadS);

    /// <summary>Until when its effects may last.</summary>
    public Instant EffectsTo => To.AddSeconds(Kind.SettlingS);

    /// <summary>By content, list of topics included.</summary>
    public bool Equals(PlannedActivity? other) => other is not null && Id == other.Id && Kind == other.Kind && Summary == other.Summary && From == other.From && To == other.To
        && Description == other.Description && ((Expects is null && other.Expects is null) || (Expects is not null && other.Expects is not null && Expects.SequenceEqual(other.Expects)));

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Id, Kind.Id, Summary, From, To, Description);
}
