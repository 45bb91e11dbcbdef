using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Phasekeeper.Storage;

/// <summary>
/// The hash of an entry: SHA-256 of a text that anyone can write down again from an export. In UTF-8, every line ended by one line feed:
/// <code>
/// phasekeeper-record/1
/// previous:64:HEX        hash of the entry before, 64 small hexadecimal digits (64 zeros for the first entry)
/// number:N:…             the entry's number, decimal
/// time:N:…               wall clock, nanoseconds of TAI since 1970-01-01T00:00:00 TAI, decimal (UTC would depend on a table of leap seconds)
/// person:N:…
/// role:N:…
/// address:N:…
/// what:N:…
/// subject:N:…
/// before:N:…             the JSON text, character by character as stored
/// after:N:…
/// reason:N:…
/// </code>
/// N counts the bytes of what follows the second colon, so that no text can pass for another one's end; a field that is absent is <c>name:-</c>, which
/// an empty one (<c>name:0:</c>) is not.
/// </summary>
public static class RecordHash
{
    /// <summary>Length of a hash, bytes.</summary>
    public const int Bytes = 32;

    /// <summary>What the first entry follows.</summary>
    public static readonly byte[] Beginning = new byte[Bytes];

    /// <summary>The hash of an entry, from its fields and the hash before it; the stored hash plays no part.</summary>
    public static byte[] Of(RecordEntry entry) => SHA256.HashData(Encoding.UTF8.GetBytes(Text(entry)));

    /// <summary>The text that is hashed.</summary>
    public static string Text(RecordEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        var text = new StringBuilder("phasekeeper-record/1\n");
        Field(text, "previous", Convert.ToHexStringLower(entry.Previous));
        Field(text, "number", entry.Number.ToString(CultureInfo.InvariantCulture));
        Field(text, "time", entry.Time.TaiNanoseconds.ToString(CultureInfo.InvariantCulture));
        Field(text, "person", entry.Person);
        Field(text, "role", entry.Role);
        Field(text, "address", entry.Address);
        Field(text, "what", entry.What);
        Field(text, "subject", entry.Subject);
        Field(text, "before", entry.Before);
        Field(text, "after", entry.After);
        Field(text, "reason", entry.Reason);
        return text.ToString();
    }

    private static void Field(StringBuilder text, string name, string? value) => _ = value is null
        ? text.Append(name).Append(":-\n")
        : text.Append(name).Append(':').Append(Encoding.UTF8.GetByteCount(value).ToString(CultureInfo.InvariantCulture)).Append(':').Append(value).Append('\n');
}
