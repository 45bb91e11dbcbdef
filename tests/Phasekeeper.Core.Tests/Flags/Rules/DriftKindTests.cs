using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Inputs;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Tests.Flags.Rules;

public sealed class DriftKindTests
{
    private static readonly RuleDeclaration Rule = FlagScene.Rule("drift", ("ewmaLimit", 4), ("cusumLimit", 5), ("quietOrbits", 2)) with { Trackers = ["lamp-offset"] };

    // A chart whose EWMA is z of its own σ from the expected 0.1, and whose sums are as given.
    private static SeriesHistory Series(string view, params (double Z, double High, double Low)[] points) => new(new("lamp-offset", view, "green"), "rad",
        [.. FlagScene.Series("lamp-offset", view, "green", "rad", new double[points.Length]).Points.Select((p, i) => p with { Expected = 0.1, EwmaSigma = 0.01, Ewma = 0.1 + 0.01 * points[i].Z, CusumHigh = points[i].High, CusumLow = points[i].Low })]);

    private static IReadOnlyList<Condition> Run(RuleDeclaration rule, params SeriesHistory[] series) => RuleReplay.Run(rule, FlagScene.Inputs(0, 20) with { Series = series });

    [Fact]
    public void A_chart_speaks_in_its_own_sigma_and_names_the_direction()
    {
        var ewma = Assert.Single(Run(Rule, Series("F", (0, 0, 0), (-4.5, 0, 0), (0, 0, 0))));
        Assert.Equal((-4.5, -4.0, 1, 1, "σ"), (Math.Round(ewma.Value, 9), ewma.Limit, ewma.FirstOrbit, ewma.LastOrbit, ewma.Unit));
        Assert.Contains("4.5 σ below the expected 0.1 rad", ewma.Text, StringComparison.Ordinal);
        var cusum = Assert.Single(Run(Rule, Series("F", (0, 0, 4.9), (0, 0, 6), (0, 7.5, 0))));
        Assert.Equal((7.5, 5.0, 1, 2), (cusum.Value, cusum.Limit, cusum.FirstOrbit, cusum.LastOrbit));
        Assert.Empty(Run(Rule with { Parameters = new SortedDictionary<string, double>(Rule.Parameters.ToDictionary()) { ["cusumLimit"] = double.NaN } }, Series("F", (0, 99, 0))));
    }

    [Fact]
    public void A_tracker_is_one_flag_that_names_every_chart_with_its_first_orbit()
    {
        var found = Assert.Single(Run(Rule, Series("A", (0, 0, 0), (0, 0, 0), (0, 5.5, 0)), Series("F", (4.1, 0, 0), (4.6, 6, 0), (0, 0, 0))));
        Assert.Equal(("lamp-offset", null, null, 0, 2), (found.Thing.Subject, found.Thing.View, found.Thing.Line, found.FirstOrbit, found.LastOrbit));
        Assert.Equal(["F green EWMA 0–1", "F green CUSUM 1–1", "A green CUSUM 2–2"], found.Evidence.Signals.Select(s => $"{s.Where()} {s.Chart} {s.FirstOrbit}–{s.LastOrbit}"));
        Assert.Contains("F green (EWMA from orbit 0, CUSUM from orbit 1); A green (CUSUM from orbit 2)", found.Message(), StringComparison.Ordinal);
        // The worst is told in full: 6/5 beats 4.6/4.
        Assert.Contains("view F, green has been above", found.Text, StringComparison.Ordinal);
        Assert.Null(found.Winds!.View);
        Assert.Equal("green", found.Winds.Line);
    }

    [Fact]
    public void A_series_that_joins_a_flag_calls_a_person_again()
    {
        var series = Series("F", (4.6, 0, 0), (4.6, 0, 0));
        var known = Flag.Of(Assert.Single(Run(Rule, series)));
        var life = LifeRules.Take(FlagLife.Fresh, new(LifeStepKind.Take), "kim", true, FlagSight.Of(known), FlagCauses.Default).After!;
        var longer = FlagReconciler.Reconcile([known], Run(Rule, Series("F", (4.6, 0, 0), (4.6, 6, 0), (4.7, 0, 0))), []);
        Assert.Equal(LifeState.Taken, LifeAfterRules.Of(life, Assert.Single(longer)).After.State);
        var wider = Assert.Single(FlagReconciler.Reconcile([known], Run(Rule, series, Series("A", (0, 0, 0), (5, 0, 0))), []));
        var again = LifeAfterRules.Of(life, wider);
        Assert.Equal((known.Id, LifeState.Reopened, "kim"), (wider.After.Id, again.After.State, again.After.Holder));
        Assert.Contains("A green", again.Reopened, StringComparison.Ordinal);
    }

    [Fact]
    public void Its_limits_are_those_of_the_charts_on_pages()
    {
        var rule = FlagScene.Rule("drift");
        Assert.Equal((ChartDesign.Default.EwmaLimit, ChartDesign.Default.CusumH), (rule["ewmaLimit"], rule["cusumLimit"]));
        Assert.Contains("both charts are off", RuleCatalog.Of("drift").Check(FlagScene.Rule("drift", ("ewmaLimit", double.NaN), ("cusumLimit", double.NaN))).Single(), StringComparison.Ordinal);
    }
}
