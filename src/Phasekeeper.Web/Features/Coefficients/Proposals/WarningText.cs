using System.Text.RegularExpressions;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Sentences of fits and evidence as pages show them: times to the minute, names of numbers and residuals in words, units and minus signs as people write them.</summary>
public static partial class WarningText
{
    /// <summary>The sentence.</summary>
    public static string Of(string sentence)
    {
        ArgumentNullException.ThrowIfNull(sentence);
        var timed = IsoTime().Replace(sentence, m => Instant.TryParseUtc(m.Value, out var time) ? UtcText.DateAndMinute(time) + " UTC" : m.Value);
        var named = NumberName().Replace(timed, m => Capital(m, CoefficientWords.Number(m.Value)));
        return UnitText.InSentence(ResidualName().Replace(named, m => CoefficientWords.Measure(m.Value)));
    }

    // A sentence that begins with a name begins with a capital letter.
    private static string Capital(Match at, string words) => at.Index == 0 ? char.ToUpperInvariant(words[0]) + words[1..] : words;

    [GeneratedRegex(@"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?Z")]
    private static partial Regex IsoTime();

    [GeneratedRegex(@"\b(?:dark|optics|imageShift)\.[A-Za-z]+(?:\.[A-Za-z]+)?\b")]
    private static partial Regex NumberName();

    // "the lamp-within-orbit residual": hyphened words of ResidualMeasures, where they name a residual.
    [GeneratedRegex(@"\b(?:lamp-within-orbit|lamp|image-shift|dark|scene-visibility|lamp-visibility|lamp-brightness)(?= residual)")]
    private static partial Regex ResidualName();
}
