using Phasekeeper.Core.Input;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Profile;

/// <summary>Reads the instrument object of a mission profile.</summary>
internal static class InstrumentReader
{
    // Limits are chosen wide: they catch a wrong unit or a slipped digit, not an unusual instrument.
    private const int MaxRows = 4096;
    private const int MaxSamples = 16384;

    /// <summary>The instrument; null when absent. Mistakes go to the reader's list.</summary>
    public static InstrumentModel? Read(JsonObjectReader? json)
    {
        if (json is null) return null;
        var before = json.ErrorCount;
        var rows = json.Whole("rows", 1, MaxRows);
        // A wrong row count is one mistake: the lists that depend on it are then not held to it.
        var rowsExpected = json.ErrorCount == before ? rows : -1;
        var samples = json.Whole("samples", 8, MaxSamples);
        var model = new InstrumentModel
        {
            Name = json.Text("name") ?? "",
            Rows = rows,
            Samples = samples,
            ElectronsPerCount = json.Number("electronsPerCount", 1e-3, 1e4, 1.0),
            ReadNoiseElectrons = json.Number("readNoiseElectrons", 0, 1e4),
            SaturationCounts = json.Whole("saturationCounts", 1, 65536, 65536),
            RowDepressionDeg = json.Numbers("rowDepressionDeg", -90, 90, rowsExpected),
            Views = json.Objects("views", atLeast: 1).Select(ReadView).ToArray(),
            Lines = json.Objects("lines", atLeast: 1).Select(l => ReadLine(l, samples)).ToArray(),
            Fiducials = json.Objects("fiducials", required: false).Select(f => ReadFiducial(f, samples)).ToArray(),
            AttitudeSigmaDeg = ReadAttitudeSigma(json.Object("attitudeSigmaDeg", required: false)),
            ZeroWindSigmaMs = json.Number("zeroWindSigmaMs", 0, 1000, 0),
            Avoid = ReadAvoid(json.Object("avoidDeg", required: false)),
        };
        ReportRepeated(json, "views", model.Views.Select(v => v.Id));
        ReportRepeated(json, "lines", model.Lines.Select(l => l.Id));
        json.End();
        return model;
    }

    private static ViewModel ReadView(JsonObjectReader json)
    {
        var view = new ViewModel(json.Text("id") ?? "", json.Number("azimuthDeg", -360, 360));
        json.End();
        return view;
    }

    private static LineModel ReadLine(JsonObjectReader json, int samples)
    {
        var line = new LineModel
        {
            Id = json.Text("id") ?? "",
            WavelengthVacuumNm = json.Number("wavelengthVacuumNm", 100, 10000),
            Cycles = json.Number("cycles", 1, samples / 2.0),
            OpdMm = json.Number("opdMm", 0.1, 1000),
            OpdStepUm = json.Number("opdStepUm", -1e4, 1e4),
            LampWavelengthVacuumNm = json.Number("lampWavelengthVacuumNm", 100, 10000),
            LampCycles = json.Number("lampCycles", 1, samples / 2.0),
        };
        json.End();
        return line;
    }

    private static Fiducial ReadFiducial(JsonObjectReader json, int samples)
    {
        var fiducial = new Fiducial(json.Number("sample", 0, samples - 1), json.Number("depth", 0, 1), json.Number("widthSamples", 0.1, samples));
        json.End();
        return fiducial;
    }

    private static AttitudeSigma ReadAttitudeSigma(JsonObjectReader? json)
    {
        var sigma = new AttitudeSigma(json?.Number("yaw", 0, 10, 0) ?? 0, json?.Number("pitch", 0, 10, 0) ?? 0, json?.Number("roll", 0, 10, 0) ?? 0);
        json?.End();
        return sigma;
    }

    private static AvoidanceAngles ReadAvoid(JsonObjectReader? json)
    {
        var usual = AvoidanceAngles.Default;
        var angles = new AvoidanceAngles(json?.Number("sun", 0, 180, usual.Sun) ?? usual.Sun, json?.Number("moon", 0, 180, usual.Moon) ?? usual.Moon);
        json?.End();
        return angles;
    }

    private static void ReportRepeated(JsonObjectReader json, string key, IEnumerable<string> ids)
    {
        foreach (var id in ids.GroupBy(i => i).Where(g => g.Count() > 1 && g.Key.Length > 0).Select(g => g.Key))
            json.Error(key, $"the id \"{id}\" more than once", "each id once");
    }
}
