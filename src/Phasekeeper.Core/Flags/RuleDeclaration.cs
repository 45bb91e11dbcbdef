using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace Phasekeeper.Core.Flags;

/// <summary>One rule as declared: a kind with its parameters, on chosen things. Immutable; a change is a new version.</summary>
public sealed record RuleDeclaration
{
    /// <summary>Id, unique in the set, kebab-case; part of every flag's id.</summary>
    public required string Id { get; init; }
    /// <summary>Id of the kind, see <see cref="RuleCatalog"/>.</summary>
    public required string Kind { get; init; }
    /// <summary>Stated version, from 1.</summary>
    public int Version { get; init; } = 1;
    /// <summary>False: declared, but not run.</summary>
    public bool Enabled { get; init; } = true;
    /// <summary>Trackers it watches (kinds that watch trackers).</summary>
    public IReadOnlyList<string> Trackers { get; init; } = [];
    /// <summary>Channels it watches; '*' stands for any run of characters. Empty = all (kinds that watch channels).</summary>
    public IReadOnlyList<string> Channels { get; init; } = [];
    /// <summary>Only this view; null = all.</summary>
    public string? View { get; init; }
    /// <summary>Only this line; null = all.</summary>
    public string? Line { get; init; }
    /// <summary>Every parameter of the kind by name, defaults filled in; NaN = not set; switches are 1 or 0.</summary>
    public required IReadOnlyDictionary<string, double> Parameters { get; init; }

    /// <summary>A parameter's value.</summary>
    public double this[string name] => Parameters.TryGetValue(name, out var value) ? value
        : throw new KeyNotFoundException($"Rule {Id} of kind {Kind} has no parameter '{name}'; it has {string.Join(", ", Parameters.Keys)}.");

    /// <summary>A whole-number parameter.</summary>
    public int Whole(string name) => (int)this[name];

    /// <summary>A switch.</summary>
    public bool On(string name) => this[name] != 0;

    /// <summary>Stated version and a fingerprint of everything that decides the outcome, e.g. "1-3fa9c1": a forgotten version number shows.</summary>
    public string VersionText => _versionText ??= string.Create(CultureInfo.InvariantCulture, $"{Version}-{Fingerprint()}");

    private string? _versionText;

    /// <summary>A declaration to be filled in.</summary>
    public RuleDeclaration()
    {
    }

    // What "with" copies: all but the version text, which says what the copy has become.
    [System.Diagnostics.CodeAnalysis.SetsRequiredMembers]
    private RuleDeclaration(RuleDeclaration other)
    {
        (Id, Kind, Version, Enabled, Trackers, Channels, View, Line, Parameters) = (other.Id, other.Kind, other.Version, other.Enabled, other.Trackers, other.Channels, other.View, other.Line, other.Parameters);
    }

    /// <summary>True when it watches a channel of this name.</summary>
    public bool WatchesChannel(string channel) => Channels.Count == 0 || Channels.Any(pattern => Glob(pattern, channel));

    /// <summary>True when it watches this view and line.</summary>
    public bool Watches(string? view, string? line) => (View is null || View == view) && (Line is null || Line == line);

    private string Fingerprint()
    {
        var text = new StringBuilder(Kind).Append('\n').AppendJoin(',', Trackers).Append('\n').AppendJoin(',', Channels).Append('\n')
            .Append(View).Append('\n').Append(Line);
        foreach (var (name, value) in Parameters.OrderBy(p => p.Key, StringComparer.Ordinal))
            text.Append('\n').Append(name).Append('=').Append(value.ToString("R", CultureInfo.InvariantCulture));
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())))[..6];
    }

    private static bool Glob(string pattern, string text)
    {
        var parts = pattern.Split('*');
        if (parts.Length == 1) return pattern == text;
        if (!text.StartsWith(parts[0], StringComparison.Ordinal)) return false;
        var at = parts[0].Length;
        for (var i = 1; i < parts.Length - 1; i++)
        {
            var found = text.IndexOf(parts[i], at, StringComparison.Ordinal);
            if (found < 0) return false;
            at = found + parts[i].Length;
        }
        return text.Length - at >= parts[^1].Length && text.EndsWith(parts[^1], StringComparison.Ordinal);
    }
}
