using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>One decision or change, as it stands in the record for good.</summary>
public sealed record RecordEntry
{
    /// <summary>Its place: from 1, without gaps.</summary>
    public required long Number { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>Name of who did it; "system" for the program itself.</summary>
    public required string Person { get; init; }
    /// <summary>Role in which it was done, one of <see cref="Roles"/>.</summary>
    public required string Role { get; init; }
    /// <summary>Network address that it came from; null for the program itself.</summary>
    public string? Address { get; init; }
    /// <summary>Kind of decision or change, one of <see cref="RecordKinds"/>.</summary>
    public required string What { get; init; }
    /// <summary>What it is about.</summary>
    public required string Subject { get; init; }
    /// <summary>What was before, JSON; null where there was nothing.</summary>
    public string? Before { get; init; }
    /// <summary>What is after, JSON; null where nothing is left.</summary>
    public string? After { get; init; }
    /// <summary>Why, in the person's words; null where none was given.</summary>
    public string? Reason { get; init; }
    /// <summary>Hash of the entry before; 32 zero bytes for the first.</summary>
    public required byte[] Previous { get; init; }
    /// <summary><see cref="RecordHash"/> of all of the above.</summary>
    public byte[] Hash { get; init; } = [];
}

/// <summary>What a list of entries is narrowed to; null = not narrowed.</summary>
/// <param name="Person">Name of who did it.</param>
/// <param name="What">Kind.</param>
/// <param name="Subject">What it is about, whole.</param>
/// <param name="From">First wall clock, inclusive.</param>
/// <param name="To">Last wall clock, exclusive.</param>
/// <param name="Text">Words that stand, one behind the other, in subject, before, after, reason or person; capital or small letters A to Z alike.</param>
public sealed record RecordFilter(string? Person = null, string? What = null, string? Subject = null, Instant? From = null, Instant? To = null, string? Text = null);
