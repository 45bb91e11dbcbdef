using System.Globalization;
using System.Text;

namespace Phasekeeper.Web.Observability;

/// <summary>Writes metrics in the Prometheus text exposition format, version 0.0.4.</summary>
public static class PrometheusText
{
    /// <summary>Media type of the format.</summary>
    public const string ContentType = "text/plain; version=0.0.4; charset=utf-8";

    /// <summary>Lower-case name with underscores and the unit behind it: http.server.request.duration, s → http_server_request_duration_seconds.</summary>
    public static string NameOf(string instrument, string? unit)
    {
        var name = Clean(instrument);
        var suffix = unit switch { "s" => "seconds", "By" or "bytes" => "bytes", null or "" or "1" => "", ['{', ..] => "", _ => Clean(unit) };
        return suffix.Length == 0 || name.EndsWith("_" + suffix, StringComparison.Ordinal) ? name : name + "_" + suffix;
    }

    /// <summary>The whole text; samples of one name must follow each other.</summary>
    public static string Write(IEnumerable<MetricSample> samples)
    {
        var text = new StringBuilder();
        string? previous = null;
        foreach (var sample in samples)
        {
            if (sample.Name != previous)
            {
                text.Append("# HELP ").Append(sample.Name).Append(' ').Append(Escape(sample.Help, quotes: false)).Append('\n');
                text.Append("# TYPE ").Append(sample.Name).Append(sample.IsCounter ? " counter\n" : " gauge\n");
                previous = sample.Name;
            }
            text.Append(sample.Name);
            if (sample.Labels.Count > 0)
                text.Append('{').AppendJoin(',', sample.Labels.Select(label => $"{Clean(label.Key)}=\"{Escape(label.Value, quotes: true)}\"")).Append('}');
            text.Append(' ').Append(sample.Value.ToString("R", CultureInfo.InvariantCulture)).Append('\n');
        }
        return text.ToString();
    }

    private static string Clean(string name)
    {
        var clean = new StringBuilder(name.Length);
        foreach (var c in name) clean.Append(char.IsAsciiLetterOrDigit(c) ? char.ToLowerInvariant(c) : '_');
        if (clean.Length > 0 && char.IsAsciiDigit(clean[0])) clean.Insert(0, '_');
        return clean.ToString();
    }

    private static string Escape(string text, bool quotes)
    {
        text = text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\n", "\\n", StringComparison.Ordinal);
        return quotes ? text.Replace("\"", "\\\"", StringComparison.Ordinal) : text;
    }
}
