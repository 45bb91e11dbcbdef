namespace Phasekeeper.Core.Input;

/// <summary>A file that a person wrote cannot be used; carries every mistake found in it.</summary>
public sealed class InputException(IReadOnlyList<InputError> errors)
    : Exception(string.Join(Environment.NewLine, errors.Select(e => e.ToString())))
{
    /// <summary>All mistakes, in the order of the file.</summary>
    public IReadOnlyList<InputError> Errors { get; } = errors;
}
