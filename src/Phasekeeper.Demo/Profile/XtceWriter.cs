using System.Globalization;
using System.Text;
using System.Xml;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Telemetry;

namespace Phasekeeper.Demo.Profile;

/// <summary>Writes the telemetry definition as XTCE 1.2 (CCSDS 660.0-B) from the table of channels.</summary>
public static class XtceWriter
{
    private const string Namespace = "http://www.omg.org/spec/XTCE/20180204";

    /// <summary>Text of the file.</summary>
    public static string Write(Tern instrument)
    {
        var text = new StringBuilder();
        using (var xml = XmlWriter.Create(text, new XmlWriterSettings { Indent = true, NewLineChars = "\n", OmitXmlDeclaration = true }))
        {
            xml.WriteStartElement("SpaceSystem", Namespace);
            xml.WriteAttributeString("name", "Kittiwake");
            xml.WriteAttributeString("shortDescription", "Telemetry of the satellite Kittiwake and its interferometer TERN");
            Element(xml, "TelemetryMetaData", () =>
            {
                Element(xml, "ParameterTypeSet", () => Types(xml, instrument.Model));
                Element(xml, "ParameterSet", () => Parameters(xml));
                Element(xml, "ContainerSet", () => Containers(xml));
            });
            xml.WriteEndElement();
        }
        return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + text + "\n";
    }

    private static void Types(XmlWriter xml, InstrumentModel model)
    {
        foreach (var bits in new[] { 1, 2, 3, 8, 11, 14, 16, 32 })
            Element(xml, "IntegerParameterType", () =>
            {
                Element(xml, "UnitSet");
                Element(xml, "IntegerDataEncoding", null, ("sizeInBits", Text(bits)), ("encoding", "unsigned"));
            }, ("name", $"u{bits}"), ("signed", "false"));
        foreach (var channel in HousekeepingChannels.Packets.SelectMany(p => p.Channels)) ChannelType(xml, channel);
        Enumerated(xml, "kind", ["scene", "lamp", "dark", "flat"]);
        Enumerated(xml, "view", model.Views.Select(v => v.Id));
        Enumerated(xml, "line", model.Lines.Select(l => l.Id));
        Element(xml, "ArrayParameterType", () => Element(xml, "DimensionList", () => Element(xml, "Dimension", () =>
        {
            Element(xml, "StartingIndex", () => xml.WriteElementString("FixedValue", Namespace, "0"));
            Element(xml, "EndingIndex", () => xml.WriteElementString("FixedValue", Namespace, Text(model.Samples - 1)));
        })), ("name", "samples"), ("arrayTypeRef", "u16"));
    }

    private static void ChannelType(XmlWriter xml, HousekeepingChannel c)
    {
        var kind = c.Labels is not null ? "EnumeratedParameterType" : c.Calibration is not null ? "FloatParameterType" : "IntegerParameterType";
        (string, string)[] attributes = kind == "IntegerParameterType" ? [("name", c.Name + "_type"), ("signed", c.Signed ? "true" : "false")] : [("name", c.Name + "_type")];
        Element(xml, kind, () =>
        {
            Element(xml, "UnitSet", c.Unit.Length == 0 ? null : () => xml.WriteElementString("Unit", Namespace, c.Unit));
            Element(xml, "IntegerDataEncoding", c.Calibration is null ? null : () => Element(xml, "DefaultCalibrator", () => Calibrator(xml, c.Calibration)),
                ("sizeInBits", Text(c.Bits)), ("encoding", c.Signed ? "twosComplement" : "unsigned"));
            if (c.Labels is not null)
            {
                Element(xml, "EnumerationList", () => Labels(xml, c.Labels));
                if (c.LabelAlarms.Length > 0)
                    Element(xml, "DefaultAlarm", () => Element(xml, "EnumerationAlarmList", () =>
                    {
                        foreach (var (label, level) in c.LabelAlarms) Element(xml, "EnumerationAlarm", null, ("alarmLevel", level), ("enumerationLabel", label));
                    }));
            }
            else if (c.Warning is not null || c.Critical is not null)
            {
                Element(xml, "DefaultAlarm", () => Element(xml, "StaticAlarmRanges", () =>
                {
                    Range(xml, "WarningRange", c.Warning);
                    Range(xml, "CriticalRange", c.Critical);
                }));
            }
        }, attributes);
    }

    private static void Calibrator(XmlWriter xml, Calibration calibration)
    {
        if (calibration is SplineCalibration spline)
        {
            Element(xml, "SplineCalibrator", () =>
            {
                foreach (var (raw, value) in spline.Points) Element(xml, "SplinePoint", null, ("raw", Text(raw)), ("calibrated", Text(value)));
            }, ("order", "1"));
            return;
        }
        double[] terms = calibration switch
        {
            LinearCalibration l => [l.Offset, l.Slope],
            QuadraticCalibration q => [q.C0, q.C1, q.C2],
            _ => throw new NotSupportedException($"Found a calibration of type {calibration.GetType().Name}; expected linear, quadratic or spline. Teach {nameof(XtceWriter)} to write it."),
        };
        Element(xml, "PolynomialCalibrator", () =>
        {
            for (var i = 0; i < terms.Length; i++) Element(xml, "Term", null, ("coefficient", Text(terms[i])), ("exponent", Text(i)));
        });
    }

    private static void Range(XmlWriter xml, string name, (double? Low, double? High)? range)
    {
        if (range is not { } r) return;
        var attributes = new List<(string, string)>();
        if (r.Low is { } low) attributes.Add(("minInclusive", Text(low)));
        if (r.High is { } high) attributes.Add(("maxInclusive", Text(high)));
        Element(xml, name, null, [.. attributes]);
    }

    private static void Enumerated(XmlWriter xml, string name, IEnumerable<string> labels) => Element(xml, "EnumeratedParameterType", () =>
    {
        Element(xml, "UnitSet");
        Element(xml, "IntegerDataEncoding", null, ("sizeInBits", "8"), ("encoding", "unsigned"));
        Element(xml, "EnumerationList", () => Labels(xml, labels));
    }, ("name", name));

    private static void Labels(XmlWriter xml, IEnumerable<string> labels)
    {
        var number = 0;
        foreach (var label in labels) Element(xml, "Enumeration", null, ("value", Text(number++)), ("label", label));
    }

    private static void Parameters(XmlWriter xml)
    {
        void One(string name, string type, string description) =>
            Element(xml, "Parameter", null, ("name", name), ("parameterTypeRef", type), ("shortDescription", description));
        foreach (var (name, type, description) in Header) One(name, type, description);
        foreach (var c in HousekeepingChannels.Packets.SelectMany(p => p.Channels)) One(c.Name, c.Name + "_type", c.Description);
        foreach (var (name, type, description) in Fringe) One(name, type, description);
        One("CRC", "u16", "CRC-16-CCITT of the packet");
    }

    private static void Containers(XmlWriter xml)
    {
        Element(xml, "SequenceContainer", () => Entries(xml, Header.Select(h => h.Name)), ("name", "Packet"), ("abstract", "true"));
        foreach (var p in HousekeepingChannels.Packets) Container(xml, p.Container, p.Description, p.Apid, p.Channels.Select(c => c.Name));
        Container(xml, "FringeRow", "One detector row of one exposure", HousekeepingChannels.FringeApid, Fringe.Select(f => f.Name));
    }

    private static void Container(XmlWriter xml, string name, string description, int apid, IEnumerable<string> parameters) =>
        Element(xml, "SequenceContainer", () =>
        {
            Entries(xml, parameters.Append("CRC"));
            Element(xml, "BaseContainer", () => Element(xml, "RestrictionCriteria", () =>
                Element(xml, "Comparison", null, ("parameterRef", "APID"), ("value", Text(apid)))), ("containerRef", "Packet"));
        }, ("name", name), ("shortDescription", description));

    private static void Entries(XmlWriter xml, IEnumerable<string> parameters) => Element(xml, "EntryList", () =>
    {
        foreach (var p in parameters) Element(xml, p == "FR_SAMPLES" ? "ArrayParameterRefEntry" : "ParameterRefEntry", null, ("parameterRef", p));
    });

    private static readonly (string Name, string Type, string Description)[] Header =
    [
        ("VERSION", "u3", "Packet version number"), ("TYPE", "u1", "Packet type"), ("SHF", "u1", "Secondary header flag"), ("APID", "u11", "Application process id"),
        ("SEQF", "u2", "Sequence flags"), ("SEQC", "u14", "Sequence count"), ("LEN", "u16", "Packet data length"),
        ("T_DAY", "u16", "Day since 1958-01-01 (UTC)"), ("T_MS", "u32", "Millisecond of the day"), ("T_US", "u16", "Microsecond of the millisecond"),
    ];

    private static readonly (string Name, string Type, string Description)[] Fringe =
    [
        ("FR_EXPOSURE", "u32", "Exposure number"), ("FR_KIND", "kind", "Kind of exposure"), ("FR_VIEW", "view", "View"), ("FR_LINE", "line", "Line"),
        ("FR_ROW", "u8", "Detector row"), ("FR_INTEGRATION_MS", "u32", "Integration time, ms"), ("FR_SAMPLES", "samples", "Counts along the row"),
    ];

    private static void Element(XmlWriter xml, string name, Action? content = null, params (string Name, string Value)[] attributes)
    {
        xml.WriteStartElement(name, Namespace);
        foreach (var (key, value) in attributes) xml.WriteAttributeString(key, value);
        content?.Invoke();
        xml.WriteEndElement();
    }

    private static string Text(double number) => number.ToString("R", CultureInfo.InvariantCulture);
}
