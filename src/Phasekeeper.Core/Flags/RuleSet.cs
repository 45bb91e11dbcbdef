namespace Phasekeeper.Core.Flags;

/// <summary>A named set of declared rules.</summary>
/// <param name="Name">Name of the set.</param>
/// <param name="Rules">Rules, ids unique.</param>
public sealed record RuleSet(string Name, IReadOnlyList<RuleDeclaration> Rules)
{
    /// <summary>Schema that rules.json names.</summary>
    public const string Schema = "phasekeeper-rules/1";

    /// <summary>Rules that are run.</summary>
    public IEnumerable<RuleDeclaration> Enabled => Rules.Where(r => r.Enabled);

    /// <summary>A rule by id, or null.</summary>
    public RuleDeclaration? Find(string id) => Rules.FirstOrDefault(r => r.Id == id);
}
