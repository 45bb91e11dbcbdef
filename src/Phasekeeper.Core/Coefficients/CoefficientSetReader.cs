using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Coefficients;

/// <summary>
/// Reads coefficients.json (schema phasekeeper-coefficients/1, contract.md section 2) against the instrument it belongs to.
/// Every mistake is reported together. Flat fields are in files of their own; <c>readFile</c> gives their text.
/// </summary>
public static class CoefficientSetReader
{
    /// <summary>The schema that this reader understands.</summary>
    public const string Schema = "phasekeeper-coefficients/1";

    /// <summary>The set, or null with all mistakes added to <paramref name="errors"/>.</summary>
    /// <param name="text">The JSON.</param>
    /// <param name="file">Its name, for errors.</param>
    /// <param name="instrument">Rows, samples, views and lines that the set must fit.</param>
    /// <param name="readFile">Text of a file beside it by name; null when there is no such file.</param>
    /// <param name="errors">Where mistakes go.</param>
    public static CoefficientSet? Read(string text, string file, InstrumentModel instrument, Func<string, string?> readFile, List<InputError> errors)
    {
        var before = errors.Count;
        var root = JsonInput.Open(text, file, errors);
        if (root is null) return null;
        root.Word("schema", null, Schema);
        var name = root.Text("name");
        var validFrom = root.Time("validFrom");
        var dark = ReadDark(root.Object("dark"));
        var optics = root.Objects("optics", atLeast: 1).Select(o => ReadOptics(o, instrument, readFile, errors)).ToArray();
        var shift = root.Objects("imageShift", required: false).Select(s => ReadShift(s, instrument)).ToArray();
        var bad = root.Objects("badSamples", required: false).Select(b => ReadBadSample(b, instrument)).ToArray();
        root.End();

        foreach (var view in instrument.Views)
            foreach (var line in instrument.Lines)
            {
                var count = optics.Count(o => o.View == view.Id && o.Line == line.Id);
                if (count != 1) root.Error("optics", $"{count} entries for view {view.Id}, line {line.Id}", "exactly one a view and line");
            }
        foreach (var view in shift.GroupBy(s => s.View).Where(g => g.Count() > 1))
            root.Error("imageShift", $"{view.Count()} entries for view {view.Key}", "at most one a view");

        if (errors.Count > before) return null;
        return new CoefficientSet { Name = name!, ValidFrom = validFrom!.Value, Dark = dark!, Optics = optics, ImageShift = shift, BadSamples = bad };
    }

    private static DarkLaw? ReadDark(JsonObjectReader? json)
    {
        if (json is null) return null;
        var law = new DarkLaw(json.Number("biasCounts", 0, 65535), json.Number("rateElectronsPerS", 0, 1e6),
            json.Number("referenceC", -200, 200), json.Number("doublingK", 0, 1000));
        json.End();
        return law;
    }

    private static OpticsCoefficients ReadOptics(JsonObjectReader json, InstrumentModel instrument, Func<string, string?> readFile, List<InputError> errors)
    {
        var view = json.Word("view", null, instrument.Views.Select(v => v.Id).ToArray());
        var line = json.Word("line", null, instrument.Lines.Select(l => l.Id).ToArray());
        var flatFile = json.FileName("flat", required: false);
        var visibility = json.Number("visibility", 1e-3, 1);
        var envelope = json.Has("envelope") ? json.Numbers("envelope", -1, 1, 2) : json.Numbers("envelope", -1, 1, required: false);
        var thermal = json.Object("thermal");
        var law = new ThermalLaw(
            thermal?.Number("radPerK", -1e4, 1e4) ?? 0, thermal?.Number("lagS", 0, 1e6) ?? 0, thermal?.Number("referenceC", -200, 200) ?? 0);
        thermal?.End();
        var optics = new OpticsCoefficients
        {
            View = view,
            Line = line,
            Flat = flatFile is null ? null : ReadFlat(json, flatFile, instrument, readFile, errors),
            DistortionRad = json.NumberRows("distortionRad", -1e4, 1e4),
            ZeroWindRad = json.Numbers("zeroWindRad", -1e4, 1e4, instrument.Rows),
            Visibility = visibility,
            EnvelopeM1 = envelope.Length == 2 ? envelope[0] : 0,
            EnvelopeM2 = envelope.Length == 2 ? envelope[1] : 0,
            Thermal = law,
            LampRatio = json.Number("lampRatio", 1e-3, 1e3),
            LampPhaseRad = json.Number("lampPhaseRad", -1e4, 1e4),
            LampElectrons = json.Number("lampElectrons", 0, 1e9),
            LampVisibility = json.Number("lampVisibility", 1e-3, 1, visibility),
        };
        json.End();
        return optics;
    }

    private static double[][]? ReadFlat(JsonObjectReader json, string name, InstrumentModel instrument, Func<string, string?> readFile, List<InputError> errors)
    {
        var text = readFile(name);
        if (text is null)
        {
            json.Error("flat", $"\"{name}\", which is not in the folder", "a CSV file in the same folder");
            return null;
        }
        return FlatFieldReader.Read(text, name, instrument.Rows, instrument.Samples, errors);
    }

    private static ImageShiftLaw ReadShift(JsonObjectReader json, InstrumentModel instrument)
    {
        var law = new ImageShiftLaw(json.Word("view", null, instrument.Views.Select(v => v.Id).ToArray()),
            json.Number("samplesPerK", -1e3, 1e3), json.Number("referenceC", -200, 200), json.Number("offsetSamples", -1e4, 1e4));
        json.End();
        return law;
    }

    private static BadSample ReadBadSample(JsonObjectReader json, InstrumentModel instrument)
    {
        var bad = new BadSample(json.Word("view", null, instrument.Views.Select(v => v.Id).ToArray()),
            json.Word("line", null, instrument.Lines.Select(l => l.Id).ToArray()),
            json.Whole("row", 0, instrument.Rows - 1), json.Whole("sample", 0, instrument.Samples - 1));
        json.End();
        return bad;
    }
}
