using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features;

/// <summary>States and severities of flags as the contract spells them.</summary>
public static class FlagWords
{
    /// <summary>Found; nobody has it yet.</summary>
    public const string Raised = "raised";

    /// <summary>A person has it.</summary>
    public const string Taken = "taken";

    /// <summary>Its cause is stated.</summary>
    public const string Explained = "explained";

    /// <summary>Done with.</summary>
    public const string Settled = "settled";

    /// <summary>Was explained or settled; needs a look again.</summary>
    public const string Reopened = "reopened";

    /// <summary>Later data removed its ground.</summary>
    public const string Withdrawn = "withdrawn";

    /// <summary>States in the order of a flag's life.</summary>
    public static readonly IReadOnlyList<string> States = [Raised, Taken, Explained, Settled, Reopened, Withdrawn];

    /// <summary>Severities, worst first.</summary>
    public static readonly IReadOnlyList<string> Severities = ["critical", "warning", "notice"];

    /// <summary>True when it waits for a person: nobody has it, or it came back.</summary>
    public static bool Waits(FlagRow flag)
    {
        ArgumentNullException.ThrowIfNull(flag);
        return flag.State is Raised or Reopened;
    }

    /// <summary>Larger is worse.</summary>
    public static int Rank(string severity) => severity switch { "critical" => 2, "warning" => 1, _ => 0 };

    /// <summary>Severity of the worst flag; null when there is none.</summary>
    public static string? Worst(IEnumerable<FlagRow> flags) => flags.MaxBy(flag => Rank(flag.Severity))?.Severity;
}
