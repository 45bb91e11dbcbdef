using FsCheck.Xunit;
using Phasekeeper.Core.Flags;

namespace Phasekeeper.Core.Tests.Flags;

public class ArrivalOrderTests
{
    private static readonly RuleDeclaration[] Rules =
    [
        FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 20)),
        FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 20), ("persistenceOrbits", 3), ("quietOrbits", 0)),
        FlagScene.Rule("thermal-residual", ("warningLimit", 10), ("criticalLimit", 20), ("persistenceOrbits", 2), ("quietOrbits", 2), ("hysteresisPercent", 50)),
        FlagScene.Rule("dark-growth", ("warningLimit", 30), ("persistenceOrbits", 1), ("baselineOrbits", 6)) with { Trackers = ["thermal-residual-wind"] },
    ];

    /// <summary>Values around the limits, orbits missing here and there, arriving in random order, repeated, some first wrong and later put right or taken away.</summary>
    [Property(MaxTest = 60)]
    public void Any_order_of_arrival_ends_in_the_flags_of_the_whole_history(int seed)
    {
        var random = new Random(seed);
        var rule = Rules[random.Next(Rules.Length)];
        var final = Enumerable.Range(100, 30).Where(_ => random.NextDouble() < 0.85).ToDictionary(o => o, _ => (double)random.Next(4, 24));
        var ledger = new FlagLedger(rule, "thermal-residual-wind");
        var arrivals = final.Select(f => (f.Key, Value: (double?)f.Value)).ToList();
        // Wrong or superfluous values first; what is final comes last of each orbit.
        foreach (var orbit in Enumerable.Range(100, 30).Where(_ => random.NextDouble() < 0.3).ToList())
            ledger.Arrive(orbit, random.Next(4, 24));
        foreach (var orbit in Enumerable.Range(100, 30).Where(o => !final.ContainsKey(o))) arrivals.Add((orbit, null));
        foreach (var (orbit, value) in arrivals.OrderBy(_ => random.Next()).ToList()) ledger.Arrive(orbit, value);
        if (final.Count == 0) return;

        var expected = ledger.WholeHistory();
        var found = ledger.Standing.ToList();
        Assert.Equal(expected.Select(Shown), found.Select(Shown));
    }

    [Fact]
    public void Two_opposite_orders_end_in_the_same_ids()
    {
        double[] values = [5, 15, 5, 16, 5, 5, 5, 17, 18, 5, 25, 25];
        var forwards = new FlagLedger(Rules[0], "thermal-residual-wind");
        var backwards = new FlagLedger(Rules[0], "thermal-residual-wind");
        for (var i = 0; i < values.Length; i++)
        {
            forwards.Arrive(i, values[i]);
            backwards.Arrive(values.Length - 1 - i, values[values.Length - 1 - i]);
        }
        Assert.Equal(["1-3 Warning 16", "7-11 Critical 25"], forwards.Standing.Select(f => $"{f.FirstOrbit}-{f.LastOrbit} {f.Severity} {f.Value}"));
        Assert.Equal(forwards.Standing.Select(Shown), backwards.Standing.Select(Shown));
    }

    [Fact]
    public void Data_that_change_nothing_give_no_change()
    {
        var ledger = new FlagLedger(Rules[0], "thermal-residual-wind");
        for (var i = 0; i < 8; i++) ledger.Arrive(i, i is 3 or 4 ? 15 : 5);
        var count = ledger.Log.Count;
        for (var i = 0; i < 8; i++) ledger.Arrive(i, i is 3 or 4 ? 15 : 5);
        Assert.Equal(count, ledger.Log.Count);
        Assert.Equal([FlagChangeKind.Raise, FlagChangeKind.Extend], ledger.Log.Select(c => c.Kind));
    }

    private static string Shown(Flag f) => $"{f.Id} {f.Severity} {f.FirstOrbit} {f.LastOrbit} {f.From} {f.To} {f.Value} {f.Limit} {f.Message} {f.Evidence}";
}
