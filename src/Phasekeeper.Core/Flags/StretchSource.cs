namespace Phasekeeper.Core.Flags;

/// <summary>
/// What a version of a rule may see: data up to its last orbit, as if they ended there, and everything before, since baselines and long conditions begin there; of flags those that begin in its stretch.
/// </summary>
internal sealed class StretchSource(IRuleInputSource inner, RuleStretch stretch) : IRuleInputSource
{
    public int FirstOrbit => Math.Min(inner.FirstOrbit, LastOrbit);

    public int LastOrbit => Math.Min(inner.LastOrbit, stretch.LastOrbit);

    public Inputs.RuleInputs Load(RuleInputRequest request)
    {
        var inputs = inner.Load(request with { LastOrbit = Math.Min(request.LastOrbit, stretch.LastOrbit) });
        // Overruns come whole: what lies behind the stretch is for the version that judges there.
        if (inputs.Overruns.Count == 0 || request.LastOrbit < stretch.LastOrbit || stretch.LastOrbit == int.MaxValue || inputs.Orbits.Spans.Count == 0) return inputs;
        var end = inputs.Orbits.Spans[^1].End;
        return inputs with { Overruns = [.. inputs.Overruns.Where(o => o.SettledBy < end).Select(o => o.To > end ? o with { To = end } : o)] };
    }

    public IReadOnlyList<Flag> Flags(string rule, int firstOrbit, int lastOrbit) =>
        [.. inner.Flags(rule, firstOrbit, lastOrbit).Where(f => f.FirstOrbit >= stretch.FirstOrbit && f.FirstOrbit <= stretch.LastOrbit)];

    public Grouping.FlagTopic TopicOf(Flag flag) => inner.TopicOf(flag);
}
