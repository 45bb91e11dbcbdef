namespace Phasekeeper.Core.Text;

/// <summary>One mistake in a text file: where, what was found and what was expected there.</summary>
/// <param name="File">Name of the file as the caller gave it.</param>
/// <param name="Line">Line, counted from 1; 0 = the file as a whole.</param>
/// <param name="Found">What stands there.</param>
/// <param name="Expected">What should stand there, and what to do where that is not plain.</param>
public sealed record FileError(string File, int Line, string Found, string Expected)
{
    /// <inheritdoc/>
    public override string ToString() => $"{File}{(Line > 0 ? $", line {Line}" : "")}: found {Found}; expected {Expected}.";
}
