using System.Buffers.Text;
using System.Globalization;
using System.Text;

namespace Phasekeeper.Storage;

/// <summary>The opaque text that says where a list goes on: numbers of the last row that was given, as base64url.</summary>
internal static class Continuation
{
    public static string Of(params long[] position) =>
        Base64Url.EncodeToString(Encoding.ASCII.GetBytes(string.Join('.', position.Select(p => p.ToString(CultureInfo.InvariantCulture)))));

    /// <summary>The numbers of a continuation; null for none.</summary>
    public static long[]? Read(string? text, int count)
    {
        if (string.IsNullOrEmpty(text)) return null;
        try
        {
            var parts = Encoding.ASCII.GetString(Base64Url.DecodeFromChars(text)).Split('.');
            if (parts.Length != count) throw StorageErrors.BadContinuation(text);
            return parts.Select(p => long.Parse(p, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture)).ToArray();
        }
        catch (Exception error) when (error is FormatException or OverflowException)
        {
            throw StorageErrors.BadContinuation(text);
        }
    }

    /// <summary>Rows were asked with one more than the limit: cuts it off and says where to go on.</summary>
    public static Page<T> Page<T>(List<T> rows, int limit, Func<T, long[]> position)
    {
        if (rows.Count <= limit) return new Page<T>(rows, null);
        rows.RemoveRange(limit, rows.Count - limit);
        return new Page<T>(rows, Of(position(rows[^1])));
    }
}
