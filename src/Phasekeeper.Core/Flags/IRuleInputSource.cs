using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags;

/// <summary>What the evaluator asks the caller for.</summary>
/// <param name="Rule">The rule that will run.</param>
/// <param name="Needs">The lists that it reads; others may stay empty (coefficient uses always belong in).</param>
/// <param name="FirstOrbit">First orbit wanted.</param>
/// <param name="LastOrbit">Last orbit wanted.</param>
/// <param name="Only">When set, only this thing's data are needed; more does no harm.</param>
public sealed record RuleInputRequest(RuleDeclaration Rule, RuleNeeds Needs, int FirstOrbit, int LastOrbit, FlagThing? Only);

/// <summary>Gives the evaluator the data and flags that it asks for. Asked the same again within one run, it must answer the same.</summary>
public interface IRuleInputSource
{
    /// <summary>First orbit with any data.</summary>
    int FirstOrbit { get; }
    /// <summary>Last orbit with any data.</summary>
    int LastOrbit { get; }
    /// <summary>Inputs over the requested orbits (a wider stretch does no harm if FirstOrbit and LastOrbit say so).</summary>
    RuleInputs Load(RuleInputRequest request);
    /// <summary>All flags of a rule (withdrawn ones too) that touch the orbits.</summary>
    IReadOnlyList<Flag> Flags(string rule, int firstOrbit, int lastOrbit);
    /// <summary>Topic of a flag, for what activities are expected to cause.</summary>
    FlagTopic TopicOf(Flag flag);
}
