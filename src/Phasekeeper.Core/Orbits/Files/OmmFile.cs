using System.Globalization;
using System.Xml;
using System.Xml.Linq;
using Phasekeeper.Core.Orbits.Sgp4;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits.Files;

/// <summary>
/// Reads orbit mean-elements messages (CCSDS 502.0-B section 4; XML form CCSDS 505.0-B) for SGP4: TEME, UTC, mean motion. One message or several in a file. Covariance,
/// spacecraft and user-defined lines are passed over.
/// </summary>
public static class OmmFile
{
    private static readonly string[] Required =
        ["CENTER_NAME", "REF_FRAME", "TIME_SYSTEM", "MEAN_ELEMENT_THEORY", "EPOCH", "MEAN_MOTION", "ECCENTRICITY", "INCLINATION", "RA_OF_ASC_NODE", "ARG_OF_PERICENTER", "MEAN_ANOMALY", "BSTAR"];

    private static readonly string[] Known =
    [
        .. Required, "CCSDS_OMM_VERS", "CLASSIFICATION", "CREATION_DATE", "ORIGINATOR", "MESSAGE_ID", "OBJECT_NAME", "OBJECT_ID", "REF_FRAME_EPOCH", "GM", "MASS", "SOLAR_RAD_AREA",
        "SOLAR_RAD_COEFF", "DRAG_AREA", "DRAG_COEFF", "EPHEMERIS_TYPE", "CLASSIFICATION_TYPE", "NORAD_CAT_ID", "ELEMENT_SET_NO", "REV_AT_EPOCH", "MEAN_MOTION_DOT",
        "MEAN_MOTION_DDOT", "COV_REF_FRAME", "COMMENT",
    ];

    /// <summary>
    /// Reads the messages of a satellite. <paramref name="catalogNumber"/> 0 = the file must hold one satellite only; otherwise other satellites are passed over.
    /// </summary>
    public static ReadResult<MeanElementsEphemeris> Read(string file, string text, int catalogNumber = 0)
    {
        var errors = new FileErrors(file);
        var messages = text.AsSpan().TrimStart('\uFEFF').TrimStart().StartsWith("<") ? FromXml(errors, text) : FromKvn(errors, text);
        var sets = new List<MeanElements>();
        foreach (var (line, fields) in messages)
            if (Elements(errors, line, fields) is { } set) sets.Add(set);
        if (messages.Count == 0 && errors.Count == 0) errors.Add(0, "no message", "CCSDS_OMM_VERS = 2.0 and the lines of an orbit mean-elements message, or its XML form");
        return MeanElementsEphemeris.Select(errors, sets, catalogNumber);
    }

    private static List<(int Line, Dictionary<string, KvnLine> Fields)> FromKvn(FileErrors errors, string text)
    {
        var messages = new List<(int, Dictionary<string, KvnLine>)>();
        Dictionary<string, KvnLine>? fields = null;
        foreach (var line in KvnLine.Split(text))
        {
            if (line.Key == "CCSDS_OMM_VERS") messages.Add((line.Number, fields = []));
            if (fields is null)
            {
                errors.Add(line.Number, $"'{(line.Key == "" ? line.Value : $"{line.Key} = {line.Value}")}'", "CCSDS_OMM_VERS = 2.0 as the first line of a mean-elements message");
                return messages;
            }
            Add(errors, fields, line);
        }
        return messages;
    }

    private static List<(int Line, Dictionary<string, KvnLine> Fields)> FromXml(FileErrors errors, string text)
    {
        var messages = new List<(int, Dictionary<string, KvnLine>)>();
        XDocument document;
        try
        {
            // No document types: nothing is fetched or expanded.
            using var reader = XmlReader.Create(new StringReader(text.TrimStart('\uFEFF')), new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null });
            document = XDocument.Load(reader, LoadOptions.SetLineInfo);
        }
        catch (XmlException e)
        {
            errors.Add(e.LineNumber, $"XML that cannot be read ({e.Message})", "a well-formed <omm> or <ndm> document without a document type");
            return messages;
        }
        foreach (var omm in document.Descendants().Where(e => e.Name.LocalName == "omm"))
        {
            var fields = new Dictionary<string, KvnLine>();
            messages.Add((LineOf(omm), fields));
            if (omm.Attribute("version") is { } version) Add(errors, fields, new(LineOf(omm), "CCSDS_OMM_VERS", version.Value.Trim(), null));
            foreach (var leaf in omm.Descendants().Where(e => !e.HasElements && !e.Ancestors().Any(a => a.Name.LocalName is "covarianceMatrix" or "userDefinedParameters")))
                Add(errors, fields, new(LineOf(leaf), leaf.Name.LocalName, leaf.Value.Trim(), leaf.Attribute("units")?.Value.Trim()));
        }
        return messages;
    }

    private static int LineOf(XElement element) => ((IXmlLineInfo)element).LineNumber;

    private static void Add(FileErrors errors, Dictionary<string, KvnLine> fields, KvnLine line)
    {
        if (line.Key == "COMMENT" || line.Key.StartsWith("USER_DEFINED", StringComparison.Ordinal)) return;
        // The lines of a covariance matrix: CX_X … CZ_DOT_Z_DOT.
        if (line.Key.Length >= 4 && line.Key[0] == 'C' && line.Key[1] is 'X' or 'Y' or 'Z' && line.Key[2] == '_') return;
        if (line.Key == "" || !Known.Contains(line.Key))
            errors.Add(line.Number, line.Key == "" ? $"'{line.Value}'" : line.Key, "a keyword of CCSDS 502.0-B for SGP4 mean elements (MEAN_MOTION, not SEMI_MAJOR_AXIS; BSTAR, not BTERM)");
        else if (!fields.TryAdd(line.Key, line))
            errors.Add(line.Number, $"{line.Key} a second time", $"it once in a message (first in line {fields[line.Key].Number})");
    }

    private static MeanElements? Elements(FileErrors errors, int messageLine, Dictionary<string, KvnLine> fields)
    {
        var before = errors.Count;
        foreach (var key in Required)
            if (!fields.ContainsKey(key)) errors.Add(messageLine, $"no {key}", $"{key} in the message that begins here");

        void Is(string key, params string[] values)
        {
            if (fields.TryGetValue(key, out var line) && !values.Contains(line.Value, StringComparer.OrdinalIgnoreCase))
                errors.Add(line.Number, $"{key} = {line.Value}", string.Join(" or ", values));
        }
        Is("CCSDS_OMM_VERS", "1.0", "2.0", "3.0");
        Is("CENTER_NAME", "EARTH");
        Is("REF_FRAME", "TEME");
        Is("TIME_SYSTEM", "UTC");
        Is("MEAN_ELEMENT_THEORY", "SGP4", "SGP/SGP4");
        Is("EPHEMERIS_TYPE", "0", "2", "3");

        double Number(string key, double min, double max, params string[] units)
        {
            if (!fields.TryGetValue(key, out var line)) return 0;
            if (line.Unit is { } unit && !units.Contains(unit, StringComparer.OrdinalIgnoreCase))
                errors.Add(line.Number, $"{key} in [{unit}]", $"[{string.Join("] or [", units)}]");
            if (KvnLine.TryNumber(line.Value, out var value) && value >= min && value <= max) return value;
            errors.Add(line.Number, $"{key} = {line.Value}", string.Create(CultureInfo.InvariantCulture, $"a number from {min} to {max}"));
            return 0;
        }
        int? Whole(string key)
        {
            if (!fields.TryGetValue(key, out var line)) return null;
            if (int.TryParse(line.Value, NumberStyles.None, CultureInfo.InvariantCulture, out var value)) return value;
            errors.Add(line.Number, $"{key} = {line.Value}", "a whole number, zero or more");
            return null;
        }
        var epoch = default(Instant);
        if (fields.TryGetValue("EPOCH", out var e) && !Instant.TryParseUtc(e.Value, out epoch))
            errors.Add(e.Number, $"EPOCH = {e.Value}", "yyyy-mm-ddThh:mm:ss[.fff] or yyyy-dddThh:mm:ss[.fff]");
        var set = new MeanElements
        {
            CatalogNumber = Whole("NORAD_CAT_ID") ?? 0,
            Epoch = epoch,
            MeanMotionRevPerDay = Number("MEAN_MOTION", 1e-3, 20, "rev/day"),
            Eccentricity = Number("ECCENTRICITY", 0, 0.999999),
            InclinationDeg = Number("INCLINATION", 0, 180, "deg"),
            AscendingNodeDeg = Number("RA_OF_ASC_NODE", -360, 360, "deg"),
            ArgumentOfPerigeeDeg = Number("ARG_OF_PERICENTER", -360, 360, "deg"),
            MeanAnomalyDeg = Number("MEAN_ANOMALY", -360, 360, "deg"),
            BStarPerEarthRadius = Number("BSTAR", -10, 10, "1/ER"),
            RevolutionAtEpoch = Whole("REV_AT_EPOCH"),
        };
        return errors.Count == before ? set : null;
    }
}
