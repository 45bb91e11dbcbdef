using Phasekeeper.Core.Text;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>Why somebody proposes, decides or takes back: words that are kept for good.</summary>
internal static class DecisionReason
{
    /// <summary>Longest reason, characters (chosen: a page of text).</summary>
    public const int Longest = 2000;

    /// <summary>A reason as it is kept.</summary>
    /// <exception cref="DecisionRefusedException">It is none, too long, or no whole text.</exception>
    public static string Of(string? given)
    {
        var text = given?.Trim() ?? "";
        if (!WholeText.Is(text)) throw new DecisionRefusedException(RefusalKind.Invalid, $"Found a reason with {WholeText.Found}; expected {WholeText.Expected}.");
        return text.Length switch
        {
            0 => throw new DecisionRefusedException(RefusalKind.Invalid, "Found no reason; expected some words on why: they are kept for good."),
            > Longest => throw new DecisionRefusedException(RefusalKind.Invalid, $"Found a reason of {text.Length} characters; expected up to {Longest}."),
            _ => text,
        };
    }
}
