using System.Buffers.Text;
using System.Globalization;
using System.Text;

namespace Phasekeeper.Storage;

/// <summary>
/// The opaque text that says where a list goes on: what the last row that was given is ordered by, as base64url. It never names where a row is stored, since a row that is computed again
/// is stored elsewhere.
/// </summary>
internal static class Continuation
{
    // Words are escaped, so that neither they nor numbers hold it.
    private const char Between = ',';

    public static string Of(params long[] position) => Of([.. position.Select(Text)]);

    public static string Of(params string[] position) => Base64Url.EncodeToString(Encoding.ASCII.GetBytes(string.Join(Between, position.Select(Uri.EscapeDataString))));

    /// <summary>A number as a part of a position.</summary>
    public static string Text(long number) => number.ToString(CultureInfo.InvariantCulture);

    /// <summary>The numbers of a continuation; null for none.</summary>
    public static long[]? Read(string? text, int count) => ReadParts(text, count)?.Select(p => Number(text!, p)).ToArray();

    /// <summary>The parts of a continuation; null for none.</summary>
    public static string[]? ReadParts(string? text, int count)
    {
        if (string.IsNullOrEmpty(text)) return null;
        string[] parts;
        try
        {
            parts = Encoding.ASCII.GetString(Base64Url.DecodeFromChars(text)).Split(Between);
        }
        catch (FormatException)
        {
            throw StorageErrors.BadContinuation(text);
        }
        return parts.Length == count ? [.. parts.Select(Uri.UnescapeDataString)] : throw StorageErrors.BadContinuation(text);
    }

    /// <summary>A part that is a number.</summary>
    public static long Number(string text, string part) =>
        long.TryParse(part, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) ? number : throw StorageErrors.BadContinuation(text);

    /// <summary>Rows were asked with one more than the limit: cuts it off and says where to go on.</summary>
    public static Page<T> Page<T>(List<T> rows, int limit, Func<T, long[]> position) => Page(rows, limit, r => [.. position(r).Select(Text)]);

    /// <summary>As <see cref="Page{T}(List{T}, int, Func{T, long[]})"/>, for positions with words.</summary>
    public static Page<T> Page<T>(List<T> rows, int limit, Func<T, string[]> position)
    {
        if (rows.Count <= limit) return new Page<T>(rows, null);
        rows.RemoveRange(limit, rows.Count - limit);
        return new Page<T>(rows, Of(position(rows[^1])));
    }
}
