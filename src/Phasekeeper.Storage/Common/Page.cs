namespace Phasekeeper.Storage;

/// <summary>A part of a list.</summary>
/// <param name="Items">The rows, at most as many as were asked for.</param>
/// <param name="Next">Give it to the next call to go on; null at the end.</param>
public sealed record Page<T>(IReadOnlyList<T> Items, string? Next);

/// <summary>Cuts lists into parts.</summary>
public static class Page
{
    /// <summary>Part of a list that is made whole; the place to go on is a number of rows.</summary>
    /// <exception cref="ContinuationException">The continuation is of another list.</exception>
    public static Page<T> Of<T>(IReadOnlyList<T> all, int limit, string? next = null)
    {
        ArgumentNullException.ThrowIfNull(all);
        var skip = Continuation.Read(next, 1)?[0] ?? 0;
        if (skip < 0) throw StorageErrors.BadContinuation(next!);
        return new Page<T>(all.Skip((int)Math.Min(skip, all.Count)).Take(limit).ToList(), skip + limit < all.Count ? Continuation.Of(skip + limit) : null);
    }
}
