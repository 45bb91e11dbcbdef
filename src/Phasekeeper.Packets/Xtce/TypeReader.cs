using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads one parameter type.</summary>
internal static class TypeReader
{
    private static readonly string[] CommonAttributes = ["initialValue", "sizeInBits", "signed", "abstract"];

    public static TypeSpec? Read(XElement e, string systemPath, XtceReadContext context)
    {
        var kind = e.Name.LocalName switch
        {
            "IntegerParameterType" => ParameterKind.Integer,
            "FloatParameterType" => ParameterKind.Float,
            "EnumeratedParameterType" => ParameterKind.Enumerated,
            "BooleanParameterType" => ParameterKind.Boolean,
            "StringParameterType" => ParameterKind.String,
            "BinaryParameterType" => ParameterKind.Binary,
            "AbsoluteTimeParameterType" => ParameterKind.AbsoluteTime,
            "ArrayParameterType" => ParameterKind.Array,
            _ => (ParameterKind?)null,
        };
        if (kind is null)
        {
            context.Error(e, "this sort of parameter type is not supported; supported: Integer, Float, Enumerated, Boolean, String, Binary, AbsoluteTime and ArrayParameterType.");
            return null;
        }
        var type = new TypeSpec
        {
            Path = systemPath + "/" + context.Required(e, "name"),
            Line = XtceReadContext.LineOf(e),
            Kind = kind.Value,
            Unit = ReadUnit(e, context),
            Description = XtceReadContext.Describe(e),
        };
        return kind switch
        {
            ParameterKind.Integer or ParameterKind.Float => ReadNumber(e, type, systemPath, context),
            ParameterKind.Enumerated => ReadEnumerated(e, type, systemPath, context),
            ParameterKind.Boolean => ReadBoolean(e, type, systemPath, context),
            ParameterKind.String => ReadBytes(e, type, systemPath, context),
            ParameterKind.Binary => ReadBytes(e, type, systemPath, context),
            ParameterKind.AbsoluteTime => AbsoluteTimeReader.Read(e, type, systemPath, context),
            _ => ReadArray(e, type, systemPath, context),
        };
    }

    private static TypeSpec ReadNumber(XElement e, TypeSpec type, string systemPath, XtceReadContext context)
    {
        // The valid range and the display format describe the engineering value; they do not change it.
        context.Allow(e, ["UnitSet", "IntegerDataEncoding", "FloatDataEncoding", "DefaultAlarm", "ValidRange", "ToString"], CommonAttributes);
        return type with
        {
            Number = EncodingReader.ReadNumber(e, systemPath, context),
            Ranges = AlarmReader.ReadRanges(XtceReadContext.Child(e, "DefaultAlarm"), context),
        };
    }

    private static TypeSpec ReadEnumerated(XElement e, TypeSpec type, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["UnitSet", "IntegerDataEncoding", "EnumerationList", "DefaultAlarm"], CommonAttributes);
        var entries = new List<(long, long, string)>();
        var list = XtceReadContext.Child(e, "EnumerationList");
        foreach (var item in list?.Elements() ?? [])
        {
            if (item.Name.LocalName != "Enumeration") { context.Error(item, "not supported inside <EnumerationList>."); continue; }
            context.Allow(item, [], ["value", "maxValue", "label"]);
            var from = context.Long(item, XtceReadContext.Text(item, "value"), 0, "attribute value");
            var to = XtceReadContext.Text(item, "maxValue") is { } most ? context.Long(item, most, from, "attribute maxValue") : from;
            if (to < from) context.Error(item, $"maxValue {to} is less than value {from}.");
            else entries.Add((from, to, context.Required(item, "label")));
        }
        if (entries.Count == 0) context.Error(e, "has no <Enumeration>.");
        var labels = MakeTable(e, entries, context);
        return type with
        {
            Number = OnlyInteger(e, EncodingReader.ReadNumber(e, systemPath, context), context),
            Labels = labels,
            LabelAlarms = AlarmReader.ReadLabels(XtceReadContext.Child(e, "DefaultAlarm"), labels, context),
        };
    }

    private static TypeSpec ReadBoolean(XElement e, TypeSpec type, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["UnitSet", "IntegerDataEncoding"], [.. CommonAttributes, "oneStringValue", "zeroStringValue"]);
        var zero = XtceReadContext.Text(e, "zeroStringValue") ?? "False";
        var one = XtceReadContext.Text(e, "oneStringValue") ?? "True";
        if (zero == one) context.Error(e, $"zeroStringValue and oneStringValue are both '{one}'.");
        return type with
        {
            Number = OnlyInteger(e, EncodingReader.ReadNumber(e, systemPath, context), context),
            // Anything but zero is true.
            Labels = MakeTable(e, [(long.MinValue, -1, one), (0, 0, zero), (1, long.MaxValue, one)], context),
        };
    }

    private static NumberEncodingSpec? OnlyInteger(XElement e, NumberEncodingSpec? number, XtceReadContext context)
    {
        if (number is { Calibrator: not null } or { Contexts.Count: > 0 })
            context.Error(e, "a calibrator on a parameter with labels is not supported: labels belong to raw values.");
        if (number is { Format: NumberFormat.Unsigned, Bits: 64 })
            context.Error(e, "labels on 64-bit unsigned numbers are not supported; at most 63 bits.");
        return number;
    }

    private static EnumerationTable? MakeTable(XElement e, List<(long, long, string)> entries, XtceReadContext context)
    {
        try
        {
            return new EnumerationTable(entries);
        }
        catch (ArgumentException error)
        {
            context.Error(e, error.Message);
            return null;
        }
    }

    private static TypeSpec ReadBytes(XElement e, TypeSpec type, string systemPath, XtceReadContext context)
    {
        var isText = type.Kind == ParameterKind.String;
        var encoding = isText ? "StringDataEncoding" : "BinaryDataEncoding";
        context.Allow(e, ["UnitSet", encoding, "SizeRangeInCharacters"], [.. CommonAttributes, "characterWidth"]);
        var found = XtceReadContext.Child(e, encoding);
        if (found is null)
        {
            context.Error(e, $"has no <{encoding}>.");
            return type;
        }
        return type with { Bytes = isText ? EncodingReader.ReadText(found, systemPath, context) : EncodingReader.ReadBinary(found, systemPath, context) };
    }

    private static TypeSpec ReadArray(XElement e, TypeSpec type, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["DimensionList"], ["arrayTypeRef", "numberOfDimensions"]);
        var list = XtceReadContext.Child(e, "DimensionList");
        var dimensions = list is null ? [] : SizeReader.ReadDimensions(list, systemPath, context);
        var declared = context.Int(e, "numberOfDimensions", dimensions.Count, 1, 16);
        if (list is not null && declared != dimensions.Count) context.Error(e, $"numberOfDimensions is {declared}, but <DimensionList> has {dimensions.Count}.");
        return type with
        {
            ElementType = new(context.Required(e, "arrayTypeRef"), systemPath, type.Line, e.Name.LocalName),
            Dimensions = dimensions,
        };
    }

    private static string ReadUnit(XElement e, XtceReadContext context)
    {
        var set = XtceReadContext.Child(e, "UnitSet");
        if (set is null) return "";
        context.Allow(set, ["Unit"], []);
        var parts = new List<string>();
        foreach (var unit in XtceReadContext.Children(set, "Unit"))
        {
            context.Allow(unit, [], ["power", "factor", "description", "form"]);
            var factor = XtceReadContext.Text(unit, "factor") is { } f && f != "1" ? f + "·" : "";
            var power = XtceReadContext.Text(unit, "power") is { } p && p is not ("1" or "1.0") ? "^" + p : "";
            parts.Add(factor + unit.Value.Trim() + power);
        }
        return string.Join("·", parts);
    }
}
