using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rehearsal;

/// <summary>A rehearsal found more flags than anybody could look at.</summary>
public sealed class RehearsalTooManyException(string message) : Exception(message);

/// <summary>
/// Replays a rule over stored history with the evaluator and the inputs of the assessment, piece by piece, its flags in memory instead of the store: the result is what the assessment would have stored, at the memory
/// of one piece and the flags.
/// </summary>
public static class RehearsalRun
{
    /// <summary>Most flags of a rehearsal (chosen: far more than a team can look at in the five years of a mission).</summary>
    public const int MostFlags = 20_000;

    /// <summary>Orbits of a piece (chosen: a week and a half; a day where samples of channels are read, which are thousands an orbit).</summary>
    public static int PieceOrbits(RuleDeclaration rule)
    {
        ArgumentNullException.ThrowIfNull(rule);
        return (RuleCatalog.Of(rule.Kind).Needs & (RuleNeeds.Channels | RuleNeeds.Profiles)) != 0 ? 15 : 150;
    }

    /// <summary>Flags that the rule would have raised and that touch the orbits, by first orbit and id.</summary>
    /// <param name="rule">The rule; one that is not enabled raises none.</param>
    /// <param name="firstOrbit">First orbit of the stretch.</param>
    /// <param name="lastOrbit">Last orbit of the stretch.</param>
    /// <param name="source">Inputs; its flags are not asked for.</param>
    /// <param name="activities">Planned activities.</param>
    /// <param name="progress">Told the last orbit of each piece that is done.</param>
    /// <param name="cancel">Ends it between two pieces.</param>
    /// <exception cref="RehearsalTooManyException">More flags than <see cref="MostFlags"/>.</exception>
    public static IReadOnlyList<Flag> Flags(RuleDeclaration rule, int firstOrbit, int lastOrbit, IRuleInputSource source, IReadOnlyList<PlannedActivity> activities,
        Action<int>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(rule);
        ArgumentNullException.ThrowIfNull(source);
        var memory = new MemorySource(source);
        if (!rule.Enabled) return [];
        var piece = PieceOrbits(rule);
        for (long first = firstOrbit; first <= lastOrbit; first += piece)
        {
            cancel.ThrowIfCancellationRequested();
            var last = (int)Math.Min(lastOrbit, first + piece - 1);
            foreach (var change in FlagEvaluator.Evaluate(rule, (int)first, last, memory, activities)) memory.Put(change.After);
            if (memory.Count > MostFlags)
                throw new RehearsalTooManyException($"The rule would have raised more than {MostFlags} flags up to orbit {last}; a rehearsal stops there. Choose a shorter stretch, or limits that speak less often.");
            progress?.Invoke(last);
        }
        return [.. memory.Standing(firstOrbit, lastOrbit)];
    }

    private sealed class MemorySource(IRuleInputSource inner) : IRuleInputSource
    {
        private readonly Dictionary<string, Flag> flags = new(StringComparer.Ordinal);

        public int Count => flags.Count;
        public int FirstOrbit => inner.FirstOrbit;
        public int LastOrbit => inner.LastOrbit;

        public RuleInputs Load(RuleInputRequest request) => inner.Load(request);

        public Grouping.FlagTopic TopicOf(Flag flag) => inner.TopicOf(flag);

        public void Put(Flag flag) => flags[flag.Id] = flag;

        public IReadOnlyList<Flag> Flags(string rule, int firstOrbit, int lastOrbit) =>
            [.. flags.Values.Where(f => f.Thing.Rule == rule && f.FirstOrbit <= lastOrbit && f.LastOrbit >= firstOrbit)];

        public IEnumerable<Flag> Standing(int firstOrbit, int lastOrbit) => flags.Values.Where(f => f.Stands && f.FirstOrbit <= lastOrbit && f.LastOrbit >= firstOrbit)
            .OrderBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal);
    }
}
