namespace Phasekeeper.Core.Input;

/// <summary>One mistake in a file that a person wrote: where, what was found, what was expected.</summary>
/// <param name="File">File name as the person knows it.</param>
/// <param name="Where">JSON path ($.instrument.rows), line (line 12) or element.</param>
/// <param name="Found">What was found.</param>
/// <param name="Expected">What was expected.</param>
public sealed record InputError(string File, string Where, string Found, string Expected)
{
    /// <summary>One sentence, e.g. profile.json, $.instrument.rows: found -3; expected a whole number from 1 to 4096.</summary>
    public override string ToString() => $"{File}, {Where}: found {Found}; expected {Expected}.";
}
