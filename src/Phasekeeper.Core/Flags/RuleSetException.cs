namespace Phasekeeper.Core.Flags;

/// <summary>A mistake in a rules file.</summary>
/// <param name="Path">JSON path, e.g. $.rules[2].parameters.warningLimit.</param>
/// <param name="Message">What was found and what was expected.</param>
public sealed record RuleSetError(string Path, string Message);

/// <summary>A rules file cannot be used; all its mistakes together.</summary>
public sealed class RuleSetException : Exception
{
    /// <summary>Mistakes of a file.</summary>
    public RuleSetException(string file, IReadOnlyList<RuleSetError> errors)
        : base($"{file}: {FlagText.Count(errors.Count, "mistake")} in the rules.\n" + string.Join('\n', errors.Select(e => $"  {e.Path}: {e.Message}")))
    {
        File = file;
        Errors = errors;
    }

    /// <summary>Name of the file.</summary>
    public string File { get; }
    /// <summary>All mistakes, in the order of the file.</summary>
    public IReadOnlyList<RuleSetError> Errors { get; }
}
