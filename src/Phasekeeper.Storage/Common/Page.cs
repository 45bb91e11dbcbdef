namespace Phasekeeper.Storage;

/// <summary>A part of a list.</summary>
/// <param name="Items">The rows, at most as many as were asked for.</param>
/// <param name="Next">Give it to the next call to go on; null at the end.</param>
public sealed record Page<T>(IReadOnlyList<T> Items, string? Next);
