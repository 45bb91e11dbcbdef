using System.Text;
using System.Xml.Linq;

namespace Phasekeeper.Packets.Xtce;

/// <summary>Reads data encodings: how many bits, in which order, meaning what.</summary>
internal static class EncodingReader
{
    /// <summary>The number encoding of a parameter type; null (with an error) when there is none that can be read.</summary>
    public static NumberEncodingSpec? ReadNumber(XElement type, string systemPath, XtceReadContext context)
    {
        var integer = XtceReadContext.Child(type, "IntegerDataEncoding");
        var real = XtceReadContext.Child(type, "FloatDataEncoding");
        if (integer is not null && real is not null) context.Error(real, "a type has one data encoding; found two.");
        if (integer is not null) return ReadInteger(integer, systemPath, context);
        if (real is not null) return ReadFloat(real, systemPath, context);
        context.Error(type, "has no <IntegerDataEncoding> or <FloatDataEncoding>.");
        return null;
    }

    private static NumberEncodingSpec ReadInteger(XElement e, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["DefaultCalibrator", "ContextCalibratorList"], ["sizeInBits", "encoding", "bitOrder", "byteOrder", "changeThreshold"]);
        var bits = context.Int(e, "sizeInBits", 8, 1, 64);
        var format = context.OneOf(e, "encoding", NumberFormat.Unsigned, ("unsigned", NumberFormat.Unsigned),
            ("twosComplement", NumberFormat.TwosComplement), ("twosCompliment", NumberFormat.TwosComplement),
            ("signMagnitude", NumberFormat.SignMagnitude), ("onesComplement", NumberFormat.OnesComplement));
        return Finish(e, format, bits, systemPath, context);
    }

    private static NumberEncodingSpec ReadFloat(XElement e, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["DefaultCalibrator", "ContextCalibratorList"], ["sizeInBits", "encoding", "bitOrder", "byteOrder", "changeThreshold"]);
        var bits = context.Int(e, "sizeInBits", 32, 1, 128);
        var format = context.OneOf(e, "encoding", NumberFormat.Ieee754, ("IEEE754", NumberFormat.Ieee754),
            ("IEEE754_1985", NumberFormat.Ieee754), ("MILSTD_1750A", NumberFormat.Milstd1750A));
        if (format == NumberFormat.Ieee754 && bits is not (16 or 32 or 64))
        {
            context.Error(e, $"IEEE 754 with sizeInBits=\"{bits}\" is not supported; supported: 16, 32, 64.");
            bits = 32;
        }
        if (format == NumberFormat.Milstd1750A && bits != 32)
        {
            context.Error(e, $"MIL-STD-1750A with sizeInBits=\"{bits}\" is not supported; supported: 32.");
            bits = 32;
        }
        return Finish(e, format, bits, systemPath, context);
    }

    private static NumberEncodingSpec Finish(XElement e, NumberFormat format, int bits, string systemPath, XtceReadContext context)
    {
        CheckBitOrder(e, context);
        var little = context.OneOf(e, "byteOrder", false, ("mostSignificantByteFirst", false), ("leastSignificantByteFirst", true));
        // Which bits of a half-filled byte come first is not agreed between readers of such files.
        if (little && bits % 8 != 0)
            context.Error(e, $"byteOrder=\"leastSignificantByteFirst\" with sizeInBits=\"{bits}\" has no agreed meaning; expected whole bytes.");
        var standard = XtceReadContext.Child(e, "DefaultCalibrator");
        var list = XtceReadContext.Child(e, "ContextCalibratorList");
        return new(format, bits, little && bits > 8,
            standard is null ? null : CalibratorReader.Read(standard, context),
            list is null ? [] : CalibratorReader.ReadContexts(list, systemPath, context));
    }

    public static BytesEncodingSpec? ReadBinary(XElement e, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["SizeInBits"], ["bitOrder", "byteOrder"]);
        CheckBitOrder(e, context);
        if (XtceReadContext.Text(e, "byteOrder") is not (null or "mostSignificantByteFirst"))
            context.Error(e, "byteOrder of binary data: only mostSignificantByteFirst is supported.");
        var size = XtceReadContext.Child(e, "SizeInBits");
        if (size is not null) return new(SizeReader.Read(size, systemPath, context), -1, null);
        context.Error(e, "has no <SizeInBits>.");
        return null;
    }

    public static BytesEncodingSpec? ReadText(XElement e, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["SizeInBits", "Variable"], ["encoding", "bitOrder", "byteOrder"]);
        CheckBitOrder(e, context);
        var text = context.OneOf(e, "encoding", Encoding.UTF8, ("UTF-8", Encoding.UTF8), ("US-ASCII", Encoding.ASCII), ("ISO-8859-1", Encoding.Latin1));
        var terminator = -1;
        SizeSpec? size = null;
        var holder = XtceReadContext.Child(e, "SizeInBits") ?? XtceReadContext.Child(e, "Variable");
        if (holder is null)
        {
            context.Error(e, "has no <SizeInBits> or <Variable>.");
            return null;
        }
        if (holder.Name.LocalName == "SizeInBits")
        {
            context.Allow(holder, ["Fixed", "TerminationChar"], []);
            if (XtceReadContext.Child(holder, "Fixed") is { } fix) size = SizeReader.Read(fix, systemPath, context);
        }
        else
        {
            context.Allow(holder, ["DynamicValue", "TerminationChar"], ["maxSizeInBits"]);
            if (XtceReadContext.Child(holder, "DynamicValue") is not null) size = SizeReader.Read(holder, systemPath, context);
        }
        if (XtceReadContext.Child(holder, "TerminationChar") is { } character)
        {
            if (int.TryParse(character.Value.Trim(), System.Globalization.NumberStyles.AllowHexSpecifier, System.Globalization.CultureInfo.InvariantCulture, out var code) && code is >= 0 and < 256)
                terminator = code;
            else context.Error(character, $"found '{character.Value}'; expected one byte in hexadecimal, e.g. 00.");
        }
        if (size is null && terminator < 0) context.Error(holder, "gives neither a size nor a <TerminationChar>.");
        return new(size, terminator, text);
    }

    private static void CheckBitOrder(XElement e, XtceReadContext context)
    {
        if (XtceReadContext.Text(e, "bitOrder") is not (null or "mostSignificantBitFirst"))
            context.Error(e, $"bitOrder=\"{XtceReadContext.Text(e, "bitOrder")}\" is not supported; supported: mostSignificantBitFirst.");
    }
}
