namespace Phasekeeper.Packets.Xtce;

/// <summary>One thing in a definition that cannot be used as it stands.</summary>
/// <param name="Line">Line of the file, from 1; 0 when it is not about a line (a name in the profile).</param>
/// <param name="Element">XML element, or the profile's setting.</param>
/// <param name="Message">What was found and what was expected.</param>
public sealed record XtceError(int Line, string Element, string Message)
{
    /// <summary>As shown to people: line, element, message.</summary>
    public override string ToString() => Line > 0 ? $"line {Line}: <{Element}>: {Message}" : $"{Element}: {Message}";
}
