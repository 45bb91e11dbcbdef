namespace Phasekeeper.Pipeline.Activities;

/// <summary>A mistake in an activity file.</summary>
/// <param name="Line">Line number, from 1.</param>
/// <param name="Message">What was found and what was expected.</param>
public sealed record ActivityFileError(int Line, string Message);

/// <summary>An activity file cannot be used; all its mistakes together.</summary>
public sealed class ActivityFileException : Exception
{
    /// <summary>Mistakes of a file.</summary>
    public ActivityFileException(string file, IReadOnlyList<ActivityFileError> errors)
        : base($"{file}: " + string.Join('\n', errors.Select(e => $"line {e.Line}: {e.Message}")))
    {
        File = file;
        Errors = errors;
    }

    /// <summary>Name of the file.</summary>
    public string File { get; }
    /// <summary>All mistakes, by line.</summary>
    public IReadOnlyList<ActivityFileError> Errors { get; }
}
