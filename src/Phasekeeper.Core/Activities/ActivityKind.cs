using Phasekeeper.Core.Flags.Grouping;

namespace Phasekeeper.Core.Activities;

/// <summary>A kind of planned activity, with what it is expected to do. The usual kinds stand in <see cref="ActivityKinds"/>; a profile may change them and add others.</summary>
public sealed record ActivityKind
{
    /// <summary>Id, kebab-case; the category of calendars.</summary>
    public required string Id { get; init; }
    /// <summary>Title.</summary>
    public required string Title { get; init; }
    /// <summary>What it does, in words: goes on after "A manoeuvre …".</summary>
    public required string Effect { get; init; }
    /// <summary>Topics of flags that it is expected to cause, in rising order.</summary>
    public required IReadOnlyList<FlagTopic> Expects { get; init; }
    /// <summary>Winds that it makes doubtful.</summary>
    public WindDoubt Winds { get; init; }
    /// <summary>Preparations may begin this long before its stated start, s.</summary>
    public double LeadS { get; init; } = DefaultLeadS;
    /// <summary>Its effects may last this long after its end, s.</summary>
    public required double SettlingS { get; init; }
    /// <summary>Words, in lower case, by which a category or title of a calendar is known as this kind, besides its id.</summary>
    public IReadOnlyList<string> Words { get; init; } = [];

    /// <summary>Lead of a kind that names none, s (chosen: ten minutes, within which a sequence of commands begins).</summary>
    public const double DefaultLeadS = 600;
}
