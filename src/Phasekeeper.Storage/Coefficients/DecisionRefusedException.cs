namespace Phasekeeper.Storage;

/// <summary>Why a proposal or decision is refused.</summary>
public enum RefusalKind
{
    /// <summary>What it names is not there.</summary>
    Missing,
    /// <summary>What it says is wrong.</summary>
    Invalid,
    /// <summary>This person may not decide this.</summary>
    Forbidden,
    /// <summary>It cannot be done in the present state.</summary>
    Conflict,
}

/// <summary>A proposal or decision is refused: what was found, and what to do.</summary>
public sealed class DecisionRefusedException(RefusalKind kind, string message, Exception? inner = null) : Exception(message, inner)
{
    /// <summary>Why.</summary>
    public RefusalKind Kind { get; } = kind;

    /// <summary>What a caller of the API can say in a field that pages fill in by themselves, a sentence; null for nothing.</summary>
    public string? ForCallers { get; init; }
}
