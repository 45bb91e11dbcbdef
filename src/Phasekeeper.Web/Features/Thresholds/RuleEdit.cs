using System.Globalization;
using System.Text.Json;
using Phasekeeper.Core.Flags;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>A rule as a person edits it: every parameter as text, read strictly like a rules file.</summary>
public sealed class RuleEdit
{
    private readonly RuleDeclaration before;

    /// <summary>Begins with a rule as it is.</summary>
    public RuleEdit(RuleDeclaration rule)
    {
        ArgumentNullException.ThrowIfNull(rule);
        before = rule;
        Enabled = rule.Enabled;
        Channels = string.Join(", ", rule.Channels);
        foreach (var p in RuleCatalog.Of(rule.Kind).Parameters)
        {
            if (p.Type == RuleParameterType.Switch) Switches[p.Name] = rule[p.Name] != 0;
            else Numbers[p.Name] = double.IsNaN(rule[p.Name]) ? "" : rule[p.Name].ToString("R", CultureInfo.InvariantCulture);
        }
    }

    /// <summary>Whether it is run.</summary>
    public bool Enabled { get; set; }
    /// <summary>Channels, separated by commas; empty = all.</summary>
    public string Channels { get; set; }
    /// <summary>Numbers by parameter; blank = not set.</summary>
    public Dictionary<string, string> Numbers { get; } = new(StringComparer.Ordinal);
    /// <summary>Switches by parameter.</summary>
    public Dictionary<string, bool> Switches { get; } = new(StringComparer.Ordinal);

    /// <summary>The rule that the form says.</summary>
    /// <exception cref="DecisionRefusedException">It is none; all mistakes together.</exception>
    public RuleDeclaration Read()
    {
        var kind = RuleCatalog.Of(before.Kind);
        var values = new SortedDictionary<string, double>(StringComparer.Ordinal);
        var mistakes = new List<string>();
        foreach (var p in kind.Parameters)
        {
            if (p.Type == RuleParameterType.Switch) { values[p.Name] = Switches[p.Name] ? 1 : 0; continue; }
            var text = Numbers[p.Name]?.Trim() ?? "";
            if (text.Length == 0 && p.Type == RuleParameterType.Number) values[p.Name] = double.NaN;
            else if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number)) values[p.Name] = number;
            else mistakes.Add($"{RuleText.Name(p.Name)}: found '{text}'; expected {(p.Type == RuleParameterType.Integer ? "a whole number" : "a number, or nothing for no limit")}");
        }
        if (mistakes.Count > 0) throw new DecisionRefusedException(RefusalKind.Invalid, string.Join(". ", mistakes) + ".");
        var rule = before with
        {
            Enabled = Enabled,
            Channels = kind.Selector is RuleSelector.Channels or RuleSelector.Trackers ? [.. (Channels ?? "").Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries)] : before.Channels,
            Parameters = values,
        };
        // Ranges and what belongs together are read where files are read.
        return Checked(RuleSetWriter.Write(new("edited", [rule])));
    }

    /// <summary>The one rule of a declaration as in rules.json.</summary>
    /// <exception cref="DecisionRefusedException">It is none; all mistakes together.</exception>
    public static RuleDeclaration Read(JsonElement declaration) => declaration.ValueKind == JsonValueKind.Object
        ? Checked($$"""{"schema":"{{RuleSet.Schema}}","name":"edited","rules":[{{declaration.GetRawText()}}]}""")
        : throw new DecisionRefusedException(RefusalKind.Invalid, "$.rule: expected an object, a rule as in rules.json.");

    private static RuleDeclaration Checked(string rules)
    {
        try
        {
            return RuleSetReader.Read(rules, "the rule").Rules.Single();
        }
        catch (RuleSetException e)
        {
            throw new DecisionRefusedException(RefusalKind.Invalid, string.Join(". ", e.Errors.Select(m => $"{m.Path.Replace("$.rules[0]", "$.rule", StringComparison.Ordinal)}: {m.Message}")) + ".", e);
        }
    }
}
