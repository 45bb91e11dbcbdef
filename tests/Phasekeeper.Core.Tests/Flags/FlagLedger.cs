using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Tests.Flags;

/// <summary>A store of flags and of one tracker's values in memory: what a pipeline does around the evaluator.</summary>
internal sealed class FlagLedger(RuleDeclaration rule, string tracker) : IRuleInputSource
{
    private readonly SortedDictionary<int, double> _values = [];
    private readonly Dictionary<string, Flag> _flags = [];
    public List<FlagChange> Log { get; } = [];

    public int FirstOrbit => _values.Count == 0 ? 0 : _values.Keys.First();
    public int LastOrbit => _values.Count == 0 ? 0 : _values.Keys.Last();
    public IEnumerable<Flag> Standing => _flags.Values.Where(f => f.Stands).OrderBy(f => f.FirstOrbit);
    public Flag this[string id] => _flags[id];

    public RuleInputs Load(RuleInputRequest request) => FlagScene.Inputs(request.FirstOrbit, request.LastOrbit) with
    {
        Series = [FlagScene.Series(tracker, "F", "green", "m/s", _values.Where(v => v.Key >= request.FirstOrbit && v.Key <= request.LastOrbit).Select(v => (v.Key, v.Value)))],
    };

    public IReadOnlyList<Flag> Flags(string rule1, int firstOrbit, int lastOrbit) =>
        [.. _flags.Values.Where(f => f.Thing.Rule == rule1 && f.FirstOrbit <= lastOrbit && f.LastOrbit >= firstOrbit)];

    public void Arrive(int orbit, double? value)
    {
        if (value is { } v) _values[orbit] = v; else _values.Remove(orbit);
        foreach (var change in FlagEvaluator.Evaluate(rule, orbit, orbit, this, []))
        {
            Log.Add(change);
            _flags[change.After.Id] = change.After;
        }
    }

    public void Acknowledge(string id, string by) => _flags[id] = _flags[id].Acknowledge(by, FlagScene.Start, "seen");

    public IReadOnlyList<Flag> WholeHistory() =>
        [.. RuleReplay.Run(rule, Load(new(rule, RuleNeeds.Series, FirstOrbit, LastOrbit, null))).Select(Flag.Of)];
}
