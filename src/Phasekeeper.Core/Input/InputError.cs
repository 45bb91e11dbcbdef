namespace Phasekeeper.Core.Input;

/// <summary>One mistake in a file that a person wrote: where, and what was found and expected there.</summary>
/// <param name="File">File name as the person knows it.</param>
/// <param name="Where">JSON path ($.instrument.rows), line (line 12) or element.</param>
/// <param name="Message">What was found and what was expected.</param>
public sealed record InputError(string File, string Where, string Message)
{
    /// <summary>A mistake told as found and expected.</summary>
    public InputError(string file, string where, string found, string expected) : this(file, where, $"found {found}; expected {expected}")
    {
    }

    /// <summary>One sentence, e.g. profile.json, $.instrument.rows: found -3; expected a whole number from 1 to 4096.</summary>
    public override string ToString() => $"{File}, {Where}: {Message.TrimEnd('.')}.";
}
