using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Tests.Flags;

/// <summary>A store of flags, values, activities and versions in memory, run round by round as the assessment does: orbits are those with data.</summary>
internal sealed class RoundLedger(RuleTimeline rules, params PlannedActivity[] activities) : IRuleInputSource
{
    private const string Tracker = "thermal-residual-wind";
    private readonly SortedDictionary<int, double> _values = [];
    private readonly Dictionary<string, Flag> _flags = [];

    public RuleTimeline Rules { get; private set; } = rules;
    public IReadOnlyList<PlannedActivity> Activities { get; private set; } = activities;
    public List<FlagChange> Log { get; } = [];

    /// <summary>Topic of the residual's flags, as a mission's definition may tell it.</summary>
    public FlagTopic Topic { get; init; } = FlagTopic.ThermalPhase;

    public int FirstOrbit => _values.Count == 0 ? 0 : _values.Keys.First();
    public int LastOrbit => _values.Count == 0 ? 0 : _values.Keys.Last();
    public IReadOnlyList<Flag> Standing => [.. _flags.Values.Where(f => f.Stands).OrderBy(f => f.Thing.Rule, StringComparer.Ordinal).ThenBy(f => f.FirstOrbit).ThenBy(f => f.Id, StringComparer.Ordinal)];
    public IReadOnlyList<Flag> Of(string rule) => [.. Standing.Where(f => f.Thing.Rule == rule)];
    public Flag this[string id] => _flags[id];

    public RuleInputs Load(RuleInputRequest request) => Load(request, []);

    public IReadOnlyList<Flag> Flags(string rule, int firstOrbit, int lastOrbit) => [.. _flags.Values.Where(f => f.Thing.Rule == rule && Touches(f, firstOrbit, lastOrbit))];

    public FlagTopic TopicOf(Flag flag) => flag.RuleKind == "thermal-residual" ? Topic : FlagTopics.Of(flag.RuleKind, flag.Thing.Subject, _ => null);

    public void Arrive(int orbit, double? value)
    {
        if (value is { } v) _values[orbit] = v; else _values.Remove(orbit);
        Run(orbit);
    }

    public void ArriveAll(int first, params double[] values)
    {
        for (var i = 0; i < values.Length; i++) Arrive(first + i, values[i]);
    }

    /// <summary>A plan that changed: what any activity that changed may explain, before or after, is looked at again.</summary>
    public void Plan(params PlannedActivity[] after)
    {
        var changed = Activities.Except(after).Concat(after.Except(Activities)).ToList();
        Activities = after;
        Run([.. _values.Keys.Where(o => changed.Any(a => FlagScene.Span(o).End > a.EffectsFrom.AddSeconds(-ActivityMatcher.OrbitGraceS) && FlagScene.Span(o).Start < a.EffectsTo))]);
    }

    /// <summary>A version that was approved: its orbits and the one before them are looked at again.</summary>
    public void Approve(RuleTimeline after)
    {
        Rules = after;
        var first = after.Newest.FirstOrbit;
        Run([.. _values.Keys.Where(o => o < first).TakeLast(1), .. _values.Keys.Where(o => o >= first)]);
    }

    public static string Shown(Flag f) => $"{f.Thing.Rule} {f.FirstOrbit}-{f.LastOrbit} v{f.RuleVersion[0]}";

    /// <summary>All that is shown of a flag.</summary>
    public static string Whole(Flag f) => $"{f.Id} {Shown(f)} {f.Severity} {f.From} {f.To} {f.Value} {f.Limit} {f.Message} {f.Evidence} by {string.Join(",", f.ExplainedBy)} during {string.Join(",", f.During)}";

    private void Run(params int[] orbits)
    {
        foreach (var change in FlagRound.Run(Rules, orbits, this, pending => new Later(this, pending), Activities))
        {
            Log.Add(change);
            _flags[change.After.Id] = change.After;
        }
    }

    private RuleInputs Load(RuleInputRequest request, IReadOnlyList<FlagChange> pending)
    {
        var own = _values.Where(v => v.Key >= request.FirstOrbit && v.Key <= request.LastOrbit).ToList();
        var now = new Dictionary<string, Flag>(_flags);
        foreach (var change in pending) now[change.After.Id] = change.After;
        return new()
        {
            FirstOrbit = request.FirstOrbit,
            LastOrbit = request.LastOrbit,
            Orbits = new OrbitMap(own.Select(v => FlagScene.Span(v.Key))),
            Series = [FlagScene.Series(Tracker, "F", "green", "m/s", own.Select(v => (v.Key, v.Value)))],
            Overruns = own.Count > 0 && request.Needs.HasFlag(RuleNeeds.Overruns) ? ActivityOverrun.Of(now.Values.Where(f => Touches(f, request.FirstOrbit, request.LastOrbit)), Activities) : [],
        };
    }

    private static bool Touches(Flag flag, int first, int last) => flag.FirstOrbit <= last && flag.LastOrbit >= first;

    private sealed class Later(RoundLedger ledger, IReadOnlyList<FlagChange> pending) : IRuleInputSource
    {
        public int FirstOrbit => ledger.FirstOrbit;
        public int LastOrbit => ledger.LastOrbit;
        public RuleInputs Load(RuleInputRequest request) => ledger.Load(request, pending);
        public IReadOnlyList<Flag> Flags(string rule, int firstOrbit, int lastOrbit) => ledger.Flags(rule, firstOrbit, lastOrbit);
        public FlagTopic TopicOf(Flag flag) => ledger.TopicOf(flag);
    }
}
