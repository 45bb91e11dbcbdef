using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags;

/// <summary>Runs a rule over any history without touching flags: what it would have said.</summary>
public static class RuleReplay
{
    /// <summary>Joined conditions over everything the inputs hold, ordered by thing and first orbit.</summary>
    public static IReadOnlyList<Condition> Run(RuleDeclaration rule, RuleInputs inputs) =>
        ConditionJoiner.Join(RuleCatalog.Of(rule.Kind).Evaluate(rule, inputs), rule.Whole(RuleKind.QuietOrbits.Name));

    /// <summary>As <see cref="Run(RuleDeclaration, RuleInputs)"/>, for all enabled rules of a set, in the set's order.</summary>
    public static IReadOnlyList<Condition> Run(RuleSet rules, RuleInputs inputs) => [.. rules.Enabled.SelectMany(rule => Run(rule, inputs))];
}
