namespace Phasekeeper.Core.Flags.Rehearsal;

/// <summary>One thing in which two versions of a rule differ.</summary>
/// <param name="What">Parameter, or "enabled", "trackers", "channels", "view", "line", "rule".</param>
/// <param name="Unit">Unit; "1" where there is none.</param>
/// <param name="Before">Before, in words.</param>
/// <param name="After">After, in words.</param>
public sealed record RuleDifference(string What, string Unit, string Before, string After)
{
    /// <summary>What differs between two versions of one rule; null = not there.</summary>
    public static IReadOnlyList<RuleDifference> Of(RuleDeclaration? before, RuleDeclaration? after)
    {
        if (before is null || after is null) return before is null && after is null ? [] : [new("rule", "1", before is null ? "not there" : "there", after is null ? "not there" : "there")];
        var list = new List<RuleDifference>();
        void Add(string what, string unit, string a, string b)
        {
            if (a != b) list.Add(new(what, unit, a, b));
        }
        Add("kind", "1", before.Kind, after.Kind);
        Add("enabled", "1", before.Enabled ? "on" : "off", after.Enabled ? "on" : "off");
        Add("trackers", "1", string.Join(", ", before.Trackers), string.Join(", ", after.Trackers));
        Add("channels", "1", Some(before.Channels), Some(after.Channels));
        Add("view", "1", before.View ?? "all", after.View ?? "all");
        Add("line", "1", before.Line ?? "all", after.Line ?? "all");
        if (before.Kind != after.Kind) return list;
        foreach (var p in RuleCatalog.Of(after.Kind).Parameters) Add(p.Name, p.Unit, Value(p, before[p.Name]), Value(p, after[p.Name]));
        return list;
    }

    /// <summary>A parameter's value in words, without its unit.</summary>
    public static string Value(RuleParameter parameter, double value)
    {
        ArgumentNullException.ThrowIfNull(parameter);
        return double.IsNaN(value) ? "not set" : parameter.Type == RuleParameterType.Switch ? value != 0 ? "on" : "off" : value.ToString("R", System.Globalization.CultureInfo.InvariantCulture);
    }

    private static string Some(IReadOnlyList<string> names) => names.Count == 0 ? "all" : string.Join(", ", names);
}
