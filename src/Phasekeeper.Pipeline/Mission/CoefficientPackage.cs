using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>
/// A coefficient set as one text: the contract's JSON together with the flat fields that it names. The store keeps this text; its hash
/// identifies the set.
/// </summary>
public static class CoefficientPackage
{
    /// <summary>Packs a set. Flats are named by their place in it; numbers round-trip exactly.</summary>
    public static string Write(CoefficientSet set)
    {
        // Not by view and line: their ids are a mission's own and may hold what no file name may (a slash, a dot alone).
        var names = new Dictionary<OpticsCoefficients, string>(ReferenceEqualityComparer.Instance);
        foreach (var optics in set.Optics.Where(o => o.Flat is not null)) names.Add(optics, $"flat-{names.Count + 1}.csv");
        var flats = new JsonObject();
        foreach (var optics in set.Optics.Where(o => o.Flat is not null)) flats[names[optics]] = FlatText(optics.Flat!);
        var text = CoefficientSetWriter.Write(set, o => names.GetValueOrDefault(o));
        return new JsonObject { ["coefficients"] = JsonNode.Parse(text), ["flats"] = flats }.ToJsonString();
    }

    /// <summary>Unpacks a text that <see cref="Write"/> made.</summary>
    /// <exception cref="InputException">The set does not fit the instrument (the profile was changed since).</exception>
    public static CoefficientSet Read(string package, InstrumentModel instrument, string name)
    {
        var root = JsonNode.Parse(package)!.AsObject();
        var flats = root["flats"]!.AsObject();
        var errors = new List<InputError>();
        var set = CoefficientSetReader.Read(root["coefficients"]!.ToJsonString(), $"coefficient set {name}", instrument,
            file => flats[file]?.GetValue<string>(), errors);
        return set ?? throw new InputException(errors);
    }

    /// <summary>A flat field as CSV, one line a row.</summary>
    public static string FlatText(double[][] flat)
    {
        var text = new StringBuilder();
        foreach (var row in flat) text.AppendJoin(',', row.Select(v => v.ToString("R", CultureInfo.InvariantCulture))).Append('\n');
        return text.ToString();
    }
}
