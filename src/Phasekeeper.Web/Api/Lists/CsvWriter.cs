using System.Buffers;
using System.Collections;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>
/// Writes rows as CSV (RFC 4180, but lines end with \n): the columns are the row's JSON properties, in their order and
/// spelling. Missing numbers are empty, lists are joined by ';', numbers are written so that reading them gives the same bits.
/// A text that a spreadsheet would take for a formula (it begins with = + - @, a tab or a line's end, after any apostrophes) gets an apostrophe before it: whoever
/// writes a reason or names a file must not compute on the machine of who opens the list. One apostrophe off gives the text back.
/// </summary>
public sealed class CsvWriter<T>(IBufferWriter<byte> output)
{
    private static readonly JsonPropertyInfo[] Columns =
        [.. ApiJson.Options.GetTypeInfo(typeof(T)).Properties.Where(property => property.Get is not null)];

    private readonly StringBuilder line = new();

    /// <summary>Bytes written since this was last set to 0.</summary>
    public int BytesPending { get; set; }

    /// <summary>Writes the line of column names.</summary>
    public void WriteHeader()
    {
        line.Clear().AppendJoin(',', Columns.Select(column => column.Name)).Append('\n');
        Write();
    }

    /// <summary>Writes one row.</summary>
    public void WriteRow(T row)
    {
        line.Clear();
        for (var i = 0; i < Columns.Length; i++)
        {
            if (i > 0) line.Append(',');
            var value = Columns[i].Get!(row!);
            var text = TextOf(value);
            AppendField(value is string or IEnumerable<string> && IsFormula(text) ? "'" + text : text);
        }
        line.Append('\n');
        Write();
    }

    private void Write()
    {
        foreach (var chunk in line.GetChunks()) BytesPending += checked((int)Encoding.UTF8.GetBytes(chunk.Span, output));
    }

    private void AppendField(string text)
    {
        if (text.AsSpan().IndexOfAny(",\"\r\n") < 0) line.Append(text);
        else line.Append('"').Append(text.Replace("\"", "\"\"", StringComparison.Ordinal)).Append('"');
    }

    private static bool IsFormula(string text) => text.AsSpan().TrimStart('\'') is [('=' or '+' or '-' or '@' or '\t' or '\r' or '\n'), ..];

    private static string TextOf(object? value) => value switch
    {
        null => "",
        string text => text,
        double number => double.IsFinite(number) ? number.ToString("R", CultureInfo.InvariantCulture) : "",
        float number => float.IsFinite(number) ? number.ToString("R", CultureInfo.InvariantCulture) : "",
        bool flag => flag ? "true" : "false",
        Instant time => time.ToString(),
        Enum word => JsonNamingPolicy.CamelCase.ConvertName(word.ToString()),
        IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
        IEnumerable list => string.Join(';', list.Cast<object?>().Select(TextOf)),
        _ => JsonSerializer.Serialize(value, value.GetType(), ApiJson.Options),
    };
}
