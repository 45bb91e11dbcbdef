using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features;

/// <summary>States and severities of flags as the contract spells them.</summary>
public static class FlagWords
{
    /// <summary>Found; nobody has taken note yet.</summary>
    public const string Raised = "raised";

    /// <summary>A person has taken note.</summary>
    public const string Acknowledged = "acknowledged";

    /// <summary>Later data removed its ground.</summary>
    public const string Withdrawn = "withdrawn";

    /// <summary>States in the order of a flag's life.</summary>
    public static readonly IReadOnlyList<string> States = [Raised, Acknowledged, Withdrawn];

    /// <summary>Severities, worst first.</summary>
    public static readonly IReadOnlyList<string> Severities = ["critical", "warning", "notice"];

    /// <summary>Larger is worse.</summary>
    public static int Rank(string severity) => severity switch { "critical" => 2, "warning" => 1, _ => 0 };

    /// <summary>Severity of the worst flag; null when there is none.</summary>
    public static string? Worst(IEnumerable<FlagRow> flags) => flags.MaxBy(flag => Rank(flag.Severity))?.Severity;
}
