using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Text.RegularExpressions;

namespace Phasekeeper.Tests;

/// <summary>Reads back a PDF as Chromium writes it (ISO 32000-1: classic objects, FlateDecode streams, glyphs told by ToUnicode maps): pages, words, strokes and pictures. For tests; it is no general reader.</summary>
public sealed partial class PdfReading
{
    private readonly Dictionary<int, string> objects = [];
    private readonly Dictionary<int, byte[]> streams = [];
    private readonly string[] texts;

    /// <summary>Reads a file.</summary>
    public PdfReading(byte[] pdf)
    {
        var text = Encoding.Latin1.GetString(pdf);
        Assert.StartsWith("%PDF-", text, StringComparison.Ordinal);
        foreach (Match found in Objects().Matches(text))
        {
            var number = int.Parse(found.Groups[1].Value, CultureInfo.InvariantCulture);
            var body = found.Groups[2].Value;
            var at = body.IndexOf("stream", StringComparison.Ordinal);
            objects[number] = at < 0 ? body : body[..at];
            if (at < 0 || !body[..at].Contains("/FlateDecode", StringComparison.Ordinal)) continue;
            var start = at + "stream".Length + (body[at + "stream".Length] == '\r' ? 2 : 1);
            using var zip = new ZLibStream(new MemoryStream(Encoding.Latin1.GetBytes(body[start..])), CompressionMode.Decompress);
            using var plain = new MemoryStream();
            zip.CopyTo(plain);
            streams[number] = plain.ToArray();
        }
        int[] pages = [.. objects.Where(o => PageType().IsMatch(o.Value)).Select(o => o.Key)];
        Pages = pages.Length;
        // Ligatures of the font are told as one character; without the cultures' data no normalisation takes them apart.
        texts = [.. pages.Select(page => new StringBuilder(Text(page)).Replace("\uFB00", "ff").Replace("\uFB01", "fi").Replace("\uFB02", "fl").Replace("\uFB03", "ffi").Replace("\uFB04", "ffl").ToString())];
        Words = string.Join('\n', texts);
        Pictures = objects.Values.Count(o => o.Contains("/Subtype /Image", StringComparison.Ordinal));
        Strokes = streams.Where(s => !objects[s.Key].Contains("/Image", StringComparison.Ordinal)).Sum(s => Stroke().Count(Encoding.Latin1.GetString(s.Value)));
    }

    /// <summary>Number of pages.</summary>
    public int Pages { get; }

    /// <summary>All words; spaces are where the file has them.</summary>
    public string Words { get; }

    /// <summary>Words of a page, counted from 1.</summary>
    public string WordsOf(int page) => texts[page - 1];

    /// <summary>Number of pictures.</summary>
    public int Pictures { get; }

    /// <summary>Number of lines and curves that are drawn.</summary>
    public int Strokes { get; }

    private string Text(int page)
    {
        var content = string.Concat(References(objects[page], "Contents").Where(streams.ContainsKey).Select(n => Encoding.Latin1.GetString(streams[n])));
        var resources = References(objects[page], "Resources") is [var other, ..] ? objects[other] : objects[page];
        var maps = Fonts().Matches(resources).Select(m => (Name: m.Groups[1].Value, Font: int.Parse(m.Groups[2].Value, CultureInfo.InvariantCulture))).DistinctBy(f => f.Name)
            .ToDictionary(f => f.Name, f => objects.TryGetValue(f.Font, out var font) && References(font, "ToUnicode") is [var map, ..] ? Map(Encoding.Latin1.GetString(streams[map])) : []);
        var text = new StringBuilder();
        Dictionary<int, string> current = [];
        foreach (Match token in Tokens().Matches(content))
        {
            if (token.Groups[1].Success) current = maps.GetValueOrDefault(token.Groups[1].Value, []);
            else if (token.Groups[2].Success)
                for (var i = 0; i + 4 <= token.Groups[2].Length; i += 4) text.Append(current.GetValueOrDefault(int.Parse(token.Groups[2].Value.AsSpan(i, 4), NumberStyles.HexNumber, CultureInfo.InvariantCulture), ""));
            else text.Append('\n');
        }
        return text.ToString();
    }

    private static Dictionary<int, string> Map(string cmap)
    {
        var map = new Dictionary<int, string>();
        foreach (Match block in Blocks().Matches(cmap))
            foreach (Match line in Triples().Matches(block.Groups[2].Value))
            {
                var (from, second) = (Hex(line.Groups[1].Value), line.Groups[2].Value);
                if (block.Groups[1].Value == "char") map[from] = Decode(second);
                else
                    for (var i = from; i <= Hex(second); i++) map[i] = char.ConvertFromUtf32(Hex(line.Groups[3].Value) + i - from);
            }
        return map;
    }

    private static int Hex(string text) => int.Parse(text, NumberStyles.HexNumber, CultureInfo.InvariantCulture);

    private static string Decode(string hex) => Encoding.BigEndianUnicode.GetString(Convert.FromHexString(hex));

    private static int[] References(string body, string key) => Regex.Match(body, $@"/{key}\s*\[?((?:\s*\d+ 0 R)+)") is { Success: true } found
        ? [.. Regex.Matches(found.Groups[1].Value, @"(\d+) 0 R").Select(m => int.Parse(m.Groups[1].Value, CultureInfo.InvariantCulture))] : [];

    [GeneratedRegex(@"(?:^|\n)(\d+) 0 obj\s(.*?)\nendobj", RegexOptions.Singleline)]
    private static partial Regex Objects();

    [GeneratedRegex(@"/Type\s*/Page\b(?!s)")]
    private static partial Regex PageType();

    [GeneratedRegex(@"/(F\d+)\s+(\d+) 0 R")]
    private static partial Regex Fonts();

    [GeneratedRegex(@"/(F\d+)\s+[\d.]+\s+Tf|<([0-9A-Fa-f]+)>|\bET\b")]
    private static partial Regex Tokens();

    [GeneratedRegex(@"beginbf(char|range)(.*?)endbf", RegexOptions.Singleline)]
    private static partial Regex Blocks();

    [GeneratedRegex(@"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>(?:[ \t]*<([0-9A-Fa-f]+)>)?")]
    private static partial Regex Triples();

    [GeneratedRegex(@"(?<=\s)[Ss](?=\s)")]
    private static partial Regex Stroke();
}
