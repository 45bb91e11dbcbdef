using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags;

/// <summary>What a rule kind lets a declaration choose.</summary>
public enum RuleSelector
{
    /// <summary>Nothing.</summary>
    None,
    /// <summary>Trackers, view and line.</summary>
    Trackers,
    /// <summary>Channels.</summary>
    Channels,
    /// <summary>View and line.</summary>
    Views,
}

/// <summary>
/// A kind of rule: a pure function from inputs over a stretch to conditions. It has no memory: what it says of an orbit depends
/// only on data within <see cref="ReachOrbits"/> of that orbit and on the unbroken stretch of the condition itself. Replay over
/// history and evaluation of new data are therefore the same call.
/// </summary>
public abstract class RuleKind
{
    /// <summary>Parameter that all kinds have: how many quiet orbits do not end a flag.</summary>
    public static readonly RuleParameter QuietOrbits = RuleParameter.Whole("quietOrbits", "orbits",
        "A flag goes on over up to this many orbits without the condition; more end it.", 1, 0, 15);

    /// <summary>Id, kebab-case.</summary>
    public abstract string Id { get; }
    /// <summary>Short title.</summary>
    public abstract string Title { get; }
    /// <summary>What it looks at and when it speaks, one or two sentences.</summary>
    public abstract string LooksAt { get; }
    /// <summary>What to do; defers to the mission's flight rules.</summary>
    public abstract string Advice { get; }
    /// <summary>Unit of a flag's value and limit; "tracker" or "channel" = that of the thing watched.</summary>
    public abstract string Unit { get; }
    /// <summary>Which inputs it reads.</summary>
    public abstract RuleNeeds Needs { get; }
    /// <summary>What a declaration may choose.</summary>
    public virtual RuleSelector Selector => RuleSelector.None;
    /// <summary>Trackers watched when the declaration names none; empty: it must name some.</summary>
    public virtual IReadOnlyList<string> DefaultTrackers => [];
    /// <summary>Its own parameters, without <see cref="QuietOrbits"/>.</summary>
    protected abstract IReadOnlyList<RuleParameter> OwnParameters { get; }
    /// <summary>All parameters.</summary>
    public IReadOnlyList<RuleParameter> Parameters => _parameters ??= [.. OwnParameters, QuietOrbits];

    private IReadOnlyList<RuleParameter>? _parameters;

    /// <summary>Conditions within the inputs, not yet joined, in any order. Inputs must reach <see cref="ReachOrbits"/> beyond the stretch of interest.</summary>
    public abstract IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs);

    /// <summary>How many orbits away from itself data may decide what the rule says of an orbit (persistence, baselines).</summary>
    public abstract int ReachOrbits(RuleDeclaration rule);

    /// <summary>Expected number of false flags a month, and how it was computed.</summary>
    public abstract FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context);

    /// <summary>A declaration of this kind with defaults where nothing else is said.</summary>
    public RuleDeclaration Declare(string id, params (string Name, double Value)[] parameters)
    {
        var values = new SortedDictionary<string, double>(StringComparer.Ordinal);
        foreach (var p in Parameters) values[p.Name] = p.Default;
        foreach (var (name, value) in parameters)
        {
            if (!values.ContainsKey(name)) throw new ArgumentException($"Kind {Id} has no parameter '{name}'; it has {string.Join(", ", values.Keys)}.", nameof(parameters));
            values[name] = value;
        }
        return new RuleDeclaration { Id = id, Kind = Id, Trackers = DefaultTrackers, Parameters = values };
    }

    /// <summary>Mistakes of a declaration that single ranges cannot show (e.g. limits out of order); none by default.</summary>
    public virtual IEnumerable<string> Check(RuleDeclaration rule) => [];

    /// <summary>A condition over whole orbits.</summary>
    protected Condition OrbitCondition(RuleDeclaration rule, RuleInputs inputs, string subject, string? view, string? line, FlagSeverity severity,
        int firstOrbit, int lastOrbit, int worstOrbit, double value, double limit, string unit, double excess, string text,
        SeriesKey? series = null, string? channel = null, WindsInDoubt? winds = null)
    {
        var first = inputs.Orbits.Of(firstOrbit) ?? throw MissingOrbit(firstOrbit);
        var last = inputs.Orbits.Of(lastOrbit) ?? throw MissingOrbit(lastOrbit);
        return New(rule, inputs, subject, view, line, severity, first.Start, last.End, firstOrbit, lastOrbit, worstOrbit, value, limit, unit, excess, text, series, channel, winds);
    }

    /// <summary>A condition between two moments.</summary>
    protected Condition TimeCondition(RuleDeclaration rule, RuleInputs inputs, string subject, string? view, string? line, FlagSeverity severity,
        Instant from, Instant to, double value, double limit, string unit, double excess, string text,
        string? channel = null, WindsInDoubt? winds = null)
    {
        var first = inputs.OrbitAt(from);
        var last = inputs.OrbitAt(to);
        // An end that is exactly the next node still belongs to the orbit before.
        if (to == last.Start && last.Number > first.Number && inputs.Orbits.Of(last.Number - 1) is { } before && before.End == to) last = before;
        return New(rule, inputs, subject, view, line, severity, from, to, first.Number, last.Number, first.Number, value, limit, unit, excess, text, null, channel, winds);
    }

    private Condition New(RuleDeclaration rule, RuleInputs inputs, string subject, string? view, string? line, FlagSeverity severity, Instant from, Instant to,
        int firstOrbit, int lastOrbit, int worstOrbit, double value, double limit, string unit, double excess, string text, SeriesKey? series, string? channel, WindsInDoubt? winds)
    {
        // A window three times as long as the stretch, at least an orbit (6000 s, chosen) on either side, shows before and after.
        var margin = Math.Max(6000, to - from);
        return new Condition
        {
            Thing = new FlagThing(rule.Id, subject, view, line),
            RuleVersion = rule.VersionText,
            RuleKind = Id,
            Severity = severity,
            From = from,
            To = to,
            FirstOrbit = firstOrbit,
            LastOrbit = lastOrbit,
            Value = value,
            Limit = limit,
            Unit = unit,
            Excess = excess,
            Text = text,
            Evidence = new FlagEvidence(from.AddSeconds(-margin), to.AddSeconds(margin), series, channel, inputs.CoefficientSetOf(worstOrbit)),
            Winds = winds,
        };
    }

    private static InvalidOperationException MissingOrbit(int orbit) =>
        new($"Orbit {orbit} has a value but no span in the rule inputs; every orbit with data needs its start and end.");
}
