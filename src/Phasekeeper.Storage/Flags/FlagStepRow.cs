using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>One step in a flag's life, of rules or people. All flags' steps are one sequence: a queue of notices reads on from the last <see cref="Id"/> that it has seen.</summary>
public sealed record FlagStepRow
{
    /// <summary>Place in the sequence; grows, never used again.</summary>
    public long Id { get; init; }
    /// <summary>The flag.</summary>
    public required string Flag { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>One of <see cref="FlagStepWords"/>.</summary>
    public required string Step { get; init; }
    /// <summary>State after the step, as shown.</summary>
    public required string State { get; init; }
    /// <summary>Who: a person, a script's token, or <c>rules</c>.</summary>
    public required string Actor { get; init; }
    /// <summary>Role in which it was done; empty for rules.</summary>
    public string Role { get; init; } = "";
    /// <summary>Why, or the comment itself.</summary>
    public string Note { get; init; } = "";
    /// <summary>Severity of the flag then; null in steps of versions that did not keep it.</summary>
    public string? Severity { get; init; }
    /// <summary>Cause that was stated with it.</summary>
    public string? Cause { get; init; }
    /// <summary>The person (hand-over) or flag (link, inherit) that it is about beside its own.</summary>
    public string? Other { get; init; }
    /// <summary>Revision of the life after it; null where it does not count (comments, rules that merely trim).</summary>
    public long? Revision { get; init; }
}

/// <summary>What steps are called in <see cref="FlagStepRow.Step"/>; those of people are in <see cref="Core.Flags.Life.LifeStep.Words"/> too.</summary>
public static class FlagStepWords
{
    /// <summary>The rules found it.</summary>
    public const string Raise = "raise";
    /// <summary>Had been withdrawn, and its ground came back.</summary>
    public const string Reraise = "reraise";
    /// <summary>It holds for less than it seemed.</summary>
    public const string Trim = "trim";
    /// <summary>Its severity rose.</summary>
    public const string Worsen = "worsen";
    /// <summary>Its severity fell.</summary>
    public const string Ease = "ease";
    /// <summary>Later data removed its ground.</summary>
    public const string Withdraw = "withdraw";
    /// <summary>Joined into another flag.</summary>
    public const string Merge = "merge";
    /// <summary>What people did with the flag that it takes over goes on with it.</summary>
    public const string Inherit = "inherit";
    /// <summary>Needs a look again: by a person, or by new data (actor <c>rules</c>).</summary>
    public const string Reopen = "reopen";
    /// <summary>A person has it.</summary>
    public const string Take = "take";
    /// <summary>Another person has it.</summary>
    public const string HandOver = "hand-over";
    /// <summary>Nobody has it any more.</summary>
    public const string Release = "release";
    /// <summary>Its cause is stated.</summary>
    public const string Explain = "explain";
    /// <summary>Done with.</summary>
    public const string Settle = "settle";
    /// <summary>A comment.</summary>
    public const string Comment = "comment";
    /// <summary>Linked with another flag.</summary>
    public const string Link = "link";
    /// <summary>No longer linked.</summary>
    public const string Unlink = "unlink";
    /// <summary>A plot as seen.</summary>
    public const string Attach = "attach";

    /// <summary>What a queue of notices speaks of.</summary>
    public static readonly IReadOnlyList<string> Telling = [Raise, Reraise, Worsen, Withdraw, Reopen, Take, HandOver, Release, Explain, Settle, Comment];
}
