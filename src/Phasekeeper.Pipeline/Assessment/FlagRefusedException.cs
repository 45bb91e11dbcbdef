namespace Phasekeeper.Pipeline.Assessment;

/// <summary>A step with a flag was not taken; the message says why and what to do. Nothing was changed.</summary>
public class FlagRefusedException(string message) : InvalidOperationException(message);

/// <summary>Somebody, or new data, came first: the flag is no longer what the person saw. Nothing was changed.</summary>
/// <param name="message">Who did what, and when.</param>
/// <param name="revision">Revision of the flag's life now.</param>
public sealed class FlagConflictException(string message, long revision) : FlagRefusedException(message)
{
    /// <summary>Revision of the flag's life now: with it the step can be sent again.</summary>
    public long Revision { get; } = revision;
}
