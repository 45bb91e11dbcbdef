using System.Globalization;
using System.Text;
using Phasekeeper.Pipeline.Exports.NetCdf;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>Names of coefficient sets and orbit files that a day's winds were made with.</summary>
internal sealed class WindDayNames
{
    private readonly long[] sets;
    private readonly WindDay day;

    public WindDayNames(WindDay day)
    {
        this.day = day;
        sets = [.. day.Winds.Select(w => w.CoefficientSet).OfType<long>().Distinct().Order()];
        SetsText = Listed(sets, day.CoefficientSets);
        // Neither name nor number: they tell by which road and when a file came, and the same winds are to be the same file everywhere.
        OrbitFilesText = string.Join("; ", day.Winds.Select(w => w.EphemerisFile).OfType<long>().Distinct().Select(f => $"sha256 {day.OrbitFiles[f]}").Order(StringComparer.Ordinal)) is { Length: > 0 } files ? files : "none";
    }

    /// <summary>"3: ground 1; 4: …".</summary>
    public string SetsText { get; }

    /// <summary>Orbit files by their content: "sha256 d19a…; …".</summary>
    public string OrbitFilesText { get; }

    /// <summary>The set as a flag variable of CF section 3.5: words of letters, digits and the signs that flag meanings may have.</summary>
    public IEnumerable<NetCdfAttribute> SetAttributes() => sets.Length == 0 ? [] :
    [
        new("flag_values", NetCdfValues.Of([.. sets.Select(s => checked((int)s))])),
        new("flag_meanings", string.Join(' ', sets.Select(s => Word(NameOf(s, day.CoefficientSets))))),
    ];

    private static string Listed(long[] ids, IReadOnlyDictionary<long, string> names) => ids.Length == 0 ? "none"
        : string.Join("; ", ids.Select(id => string.Create(CultureInfo.InvariantCulture, $"{id}: {NameOf(id, names)}")));

    private static string NameOf(long id, IReadOnlyDictionary<long, string> names) => names.TryGetValue(id, out var name) ? name : string.Create(CultureInfo.InvariantCulture, $"number {id}");

    private static string Word(string name)
    {
        var word = new StringBuilder(name.Length);
        foreach (var c in name) word.Append(char.IsAsciiLetterOrDigit(c) || c is '_' or '-' or '.' or '+' or '@' ? c : '_');
        return word.Length == 0 ? "_" : word.ToString();
    }
}
