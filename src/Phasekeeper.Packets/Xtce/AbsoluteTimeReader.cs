using System.Xml.Linq;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Packets.Xtce;

/// <summary>
/// Reads AbsoluteTime types: moment = epoch + offset + scale·raw seconds. Epochs TAI (1958-01-01 TAI), GPS (1980-01-06), J2000
/// (2000-01-01T12:00 TT) and dates count every second; UNIX (1970-01-01 UTC) counts days of 86,400 s, as that clock does.
/// </summary>
internal static class AbsoluteTimeReader
{
    private static readonly Instant TaiEpoch = new((new DateOnly(1958, 1, 1).DayNumber - new DateOnly(1970, 1, 1).DayNumber) * 86400L * Instant.NanosecondsPerSecond);

    // 2000-01-01T12:00:00 TT is 32.184 s earlier on the TAI clock (IAU 1991 resolution A4).
    private static readonly Instant J2000 = new(((new DateOnly(2000, 1, 1).DayNumber - new DateOnly(1970, 1, 1).DayNumber) * 86400L + 43200) * Instant.NanosecondsPerSecond - 32_184_000_000);

    public static TypeSpec Read(XElement e, TypeSpec type, string systemPath, XtceReadContext context)
    {
        context.Allow(e, ["Encoding", "ReferenceTime"], ["initialValue"]);
        var encoding = XtceReadContext.Child(e, "Encoding");
        if (encoding is null)
        {
            context.Error(e, "has no <Encoding>.");
            return type;
        }
        context.Allow(encoding, ["IntegerDataEncoding", "FloatDataEncoding"], ["units", "scale", "offset"]);
        var unit = context.OneOf(encoding, "units", 1.0, ("seconds", 1.0), ("picoSeconds", 1e-12), ("days", 86400.0));
        var number = EncodingReader.ReadNumber(encoding, systemPath, context);
        if (number is { Calibrator: not null } or { Contexts.Count: > 0 })
            context.Error(encoding, "a calibrator inside a time's encoding is not supported; use scale and offset.");
        var reference = XtceReadContext.Child(e, "ReferenceTime");
        var epoch = reference is null ? null : XtceReadContext.Child(reference, "Epoch");
        if (reference is not null) context.Allow(reference, ["Epoch"], []);
        if (epoch is null) context.Error(e, "has no <ReferenceTime> with an <Epoch>.");
        var text = epoch?.Value.Trim() ?? "TAI";
        var moment = text switch
        {
            "TAI" => TaiEpoch,
            "GPS" => Instant.FromUtc(1980, 1, 6),
            "J2000" => J2000,
            "UNIX" => Instant.FromUtc(1970, 1, 1),
            _ => Instant.TryParseUtc(text, out var date) ? date : (Instant?)null,
        };
        if (moment is null) context.Error(epoch!, $"found '{text}'; expected TAI, GPS, J2000, UNIX or a date such as 2000-01-01T00:00:00Z.");
        return type with
        {
            Unit = "s since 1970-01-01 UTC",
            Number = number,
            Time = new(unit * context.Double(encoding, "scale", 1), unit * context.Double(encoding, "offset", 0), moment ?? TaiEpoch, text != "UNIX"),
        };
    }
}
