using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Core.Tests.Flags;

/// <summary>A store of flags and of one tracker's values in memory: what a pipeline does around the evaluator.</summary>
internal sealed class FlagLedger(RuleDeclaration rule, string tracker) : IRuleInputSource
{
    private readonly SortedDictionary<int, double> _values = [];
    private readonly Dictionary<string, Flag> _flags = [];
    private readonly Dictionary<string, FlagLife> _lives = [];
    public List<FlagChange> Log { get; } = [];
    public Core.Flags.Grouping.FlagTopic TopicOf(Flag flag) => Core.Flags.Grouping.FlagTopics.Of(flag.RuleKind, flag.Thing.Subject, _ => null);
    public RuleTimeline? Versions { get; set; }

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
        Apply(Versions is null ? FlagEvaluator.Evaluate(rule, orbit, orbit, this, []) : FlagEvaluator.Evaluate(Versions, orbit, orbit, this, []));
    }

    /// <summary>What an assessment of some orbits does.</summary>
    public void Assess(int first, int last) => Apply(FlagEvaluator.Evaluate(Versions!, first, last, this, []));

    private void Apply(IReadOnlyList<FlagChange> changes)
    {
        foreach (var change in changes)
        {
            Log.Add(change);
            _flags[change.After.Id] = change.After;
            Live(change.After.Id, LifeAfterRules.Of(Life(change.After.Id), change));
        }
        foreach (var change in changes)
            foreach (var former in change.TakesOver) Inherit(change.After.Id, former);
        foreach (var change in changes.Where(c => c.After.ContinuedBy is not null && c.Kind == FlagChangeKind.Merge)) Inherit(change.After.ContinuedBy!, change.After.Id);
    }

    /// <summary>Reasons for which new data reopened flags.</summary>
    public List<string> Reopened { get; } = [];

    public FlagLife Life(string id) => _lives.GetValueOrDefault(id, FlagLife.Fresh);

    /// <summary>A person's step, which must be possible.</summary>
    public void Step(string id, string by, LifeStep step)
    {
        var outcome = LifeRules.Take(Life(id), step, by, true, FlagSight.Of(_flags[id]), FlagCauses.Default);
        Assert.Null(outcome.Refusal);
        _lives[id] = outcome.After!;
    }

    private void Inherit(string heir, string former)
    {
        if (_flags[heir].Stands && LifeAfterRules.Inherit(Life(heir), Life(former)) is { } life) Live(heir, LifeAfterRules.Of(life, new(FlagChangeKind.Revise, null, _flags[heir], "")));
    }

    private void Live(string id, LifeAfterRules.Outcome outcome)
    {
        _lives[id] = outcome.After;
        if (outcome.Reopened is { } why) Reopened.Add(why);
    }

    public IReadOnlyList<Flag> WholeHistory() =>
        [.. RuleReplay.Run(rule, Load(new(rule, RuleNeeds.Series, FirstOrbit, LastOrbit, null))).Select(Flag.Of)];
}
