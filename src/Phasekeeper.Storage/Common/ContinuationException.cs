namespace Phasekeeper.Storage;

/// <summary>A list was asked to go on from a place that it never gave.</summary>
public sealed class ContinuationException(string found, string message) : Exception(message)
{
    /// <summary>What was found.</summary>
    public string Found { get; } = found;
}
