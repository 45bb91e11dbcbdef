using System.Text.RegularExpressions;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Sentences of fits and evidence as pages show them: times to the minute, names of numbers and residuals in words, units and minus signs as people write them.</summary>
public static partial class WarningText
{
    /// <summary>The sentence.</summary>
    public static string Of(string sentence)
    {
        ArgumentNullException.ThrowIfNull(sentence);
        var named = NumberName().Replace(sentence, m => Capital(m, CoefficientWords.Number(m.Value)));
        return UnitText.InSentence(ResidualName().Replace(named, m => CoefficientWords.Measure(m.Value)));
    }

    // A sentence that begins with a name begins with a capital letter.
    private static string Capital(Match at, string words) => at.Index == 0 ? char.ToUpperInvariant(words[0]) + words[1..] : words;

    [GeneratedRegex(@"\b(?:dark|optics|imageShift)\.[A-Za-z]+(?:\.[A-Za-z]+)?\b")]
    private static partial Regex NumberName();

    // "the lamp-within-orbit residual": hyphened words of ResidualMeasures, where they name a residual.
    [GeneratedRegex(@"\b(?:scene-phase|scene-temperature|green-red|wind-green-red-temperature|wind-green-red|wind-legs|lamp-within-orbit|lamp|image-shift|dark|scene-visibility|lamp-visibility|lamp-brightness)(?= residual)")]
    private static partial Regex ResidualName();
}
