using Phasekeeper.Core.SignOff;

namespace Phasekeeper.Pipeline.SignOff;

/// <summary>A sign-off, hold or note was not taken; the message says why and what to do. Nothing was changed.</summary>
public class SignOffRefusedException(string message) : InvalidOperationException(message);

/// <summary>The day is no longer what the person saw. Nothing was changed.</summary>
/// <param name="message">What changed.</param>
/// <param name="changes">The changes one by one; empty where what they saw is not known here any more.</param>
public sealed class SignOffConflictException(string message, IReadOnlyList<DayChange> changes) : SignOffRefusedException(message)
{
    /// <summary>The changes.</summary>
    public IReadOnlyList<DayChange> Changes { get; } = changes;
}
