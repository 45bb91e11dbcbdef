namespace Phasekeeper.Core.Flags;

/// <summary>
/// Joins conditions of the same thing that overlap, touch, or are parted by no more than the rule's number of quiet orbits.
/// The result does not depend on the order of its input.
/// </summary>
public static class ConditionJoiner
{
    /// <summary>Joined conditions, ordered by thing and first orbit.</summary>
    /// <param name="conditions">Conditions of one rule, in any order.</param>
    /// <param name="quietOrbits">Up to this many orbits without the condition do not end it.</param>
    public static IReadOnlyList<Condition> Join(IEnumerable<Condition> conditions, int quietOrbits)
    {
        var joined = new List<Condition>();
        foreach (var c in conditions.OrderBy(c => c.Thing).ThenBy(c => c.FirstOrbit).ThenBy(c => c.LastOrbit).ThenBy(c => c.From).ThenBy(c => c.To))
        {
            var last = joined.Count > 0 ? joined[^1] : null;
            if (last is not null && last.Thing == c.Thing && c.FirstOrbit <= last.LastOrbit + quietOrbits + 1) joined[^1] = Two(last, c);
            else joined.Add(c);
        }
        return joined;
    }

    private static Condition Two(Condition a, Condition b)
    {
        var worst = IsWorse(b, a) ? b : a;
        return worst with
        {
            From = a.From <= b.From ? a.From : b.From,
            To = a.To >= b.To ? a.To : b.To,
            FirstOrbit = Math.Min(a.FirstOrbit, b.FirstOrbit),
            LastOrbit = Math.Max(a.LastOrbit, b.LastOrbit),
            Evidence = worst.Evidence with
            {
                PlotFrom = a.Evidence.PlotFrom <= b.Evidence.PlotFrom ? a.Evidence.PlotFrom : b.Evidence.PlotFrom,
                PlotTo = a.Evidence.PlotTo >= b.Evidence.PlotTo ? a.Evidence.PlotTo : b.Evidence.PlotTo,
                Signals = ChartSignal.Join(a.Evidence.Signals.Concat(b.Evidence.Signals)),
            },
            Winds = Both(a.Winds, b.Winds, worst.Winds),
        };
    }

    // Where two are in doubt for different views or lines, all of them are.
    private static WindsInDoubt? Both(WindsInDoubt? a, WindsInDoubt? b, WindsInDoubt? worst) => a is null || b is null || worst is null ? worst
        : worst with { View = a.View == b.View ? a.View : null, Line = a.Line == b.Line ? a.Line : null };

    // A total order on what decides the message, so that joining is the same in any order.
    private static bool IsWorse(Condition a, Condition b)
    {
        if (a.Severity != b.Severity) return a.Severity > b.Severity;
        if (a.Excess != b.Excess) return a.Excess > b.Excess;
        return string.CompareOrdinal(a.Text, b.Text) < 0;
    }
}
