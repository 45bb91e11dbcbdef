using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// Far more spikes than usual. Inside the South Atlantic Anomaly many are normal, so passes through it are compared with recent passes
/// through it, and the rest of the orbit with the rest of recent orbits. What counts is the excess, not the ratio: hot samples that are not in the bad-sample map
/// yet are masked like spikes, exposure after exposure, so what is usual grows with the age of the detector while storms do not.
/// </summary>
public sealed class SpikeStormKind : RuleKind
{
    /// <inheritdoc/>
    public override string Id => "spike-storm";
    /// <inheritdoc/>
    public override string Title => "Spike storm";
    /// <inheritdoc/>
    public override string LooksAt => "Spikes per detector row over an orbit and view, inside and outside the South Atlantic region apart: speaks when one exceeds by a limit what recent orbits had there.";
    /// <inheritdoc/>
    public override string Advice => "Look at the ground track of the spikes: all over the globe or at high latitudes points to solar particles, one place to a grown anomaly, one view to its detector. Winds of the stretch are noisier. Safe-mode decisions are for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "spikes/row";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Spikes;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Views;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        // Chosen: in 68 quiet days of three demo seeds new hot samples made steps of up to 0.07, and a crossing exceeded the worst of a day's by up to 0.23.
        new("excess", "spikes/row", "So much more than the median of recent orbits, outside the South Atlantic region.", 0.2, 0, 1e6),
        new("insideExcess", "spikes/row", "So much more than the worst of the recent crossings, inside the South Atlantic region.", 0.5, 0, 1e6),
        new("significance", "σ", "The excess must be this many times its Poisson uncertainty.", 4, 1, 100),
        new("clustering", "1", "Variance of counts relative to Poisson: one particle makes several spikes.", 4, 1, 1000),
        RuleParameter.Whole("baselineOrbits", "orbits", "Recent orbits that make the median.", 15, 5, 150),
        RuleParameter.Whole("minimumRows", "rows", "Fewer rows of an orbit are not judged.", 100, 1, 1000000),
        new("southDeg", "deg", "Southern edge of the South Atlantic region (chosen: outside it the trapped protons at 500 to 600 km are few).", -55, -90, 90),
        new("northDeg", "deg", "Northern edge.", 5, -90, 90),
        new("westDeg", "deg", "Western edge, east longitude.", -95, -180, 180),
        new("eastDeg", "deg", "Eastern edge, east longitude.", 45, -180, 180),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("baselineOrbits") + rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        var sums = inputs.Spikes.Where(s => s.Rows > 0 && rule.Watches(s.View, null))
            .GroupBy(s => (s.View, Inside: Inside(rule, s)))
            .OrderBy(g => g.Key.View, StringComparer.Ordinal).ThenBy(g => g.Key.Inside);
        foreach (var group in sums)
        {
            var orbits = group.GroupBy(s => inputs.OrbitAt(s.Time).Number).OrderBy(g => g.Key)
                .Select(g => new OrbitSum(g.Key, g.Sum(s => (long)s.Spikes), g.Sum(s => (long)s.Rows))).Where(o => o.Rows >= rule["minimumRows"]).ToList();
            for (var i = 0; i < orbits.Count; i++)
                if (Judge(rule, inputs, group.Key.View, group.Key.Inside, orbits, i) is { } condition) yield return condition;
        }
    }

    private Condition? Judge(RuleDeclaration rule, RuleInputs inputs, string view, bool inside, List<OrbitSum> orbits, int i)
    {
        var here = orbits[i];
        var recent = new List<double>();
        for (var j = i - 1; j >= 0 && orbits[j].Orbit >= here.Orbit - rule.Whole("baselineOrbits"); j--) recent.Add(orbits[j].Rate);
        // Three orbits are the least that has a median of its own; only some orbits cross the region.
        if (recent.Count < (inside ? LeastCrossings : 3)) return null;
        // Outside, orbits are alike and the median tells what is usual. Crossings of the region differ with their way through it: the worst of a day is usual there.
        var usual = inside ? recent.Max() : BaselineStatistics.Median(recent);
        var limit = usual + rule[inside ? "insideExcess" : "excess"];
        var sigma = Math.Sqrt(rule["clustering"] * Math.Max(1, usual * here.Rows)) / here.Rows;
        if (here.Rate <= limit || here.Rate - usual < rule["significance"] * sigma) return null;
        var where = inside ? "inside the South Atlantic region" : "outside the South Atlantic region";
        return OrbitCondition(rule, inputs, "spikes", view, null, FlagSeverity.Warning, here.Orbit, here.Orbit, here.Orbit, here.Rate, limit, Unit, (here.Rate - usual) / Math.Max(limit - usual, 1e-9),
            $"View {view} had {FlagText.Number(here.Rate)} spikes per row on orbit {here.Orbit} {where}, where recent orbits had {(inside ? "at most " : "")}{FlagText.Number(usual)}; limit {FlagText.Number(limit)}.",
            winds: new(view, null, null, null, "masked samples make the phases noisier"));
    }

    private static bool Inside(RuleDeclaration rule, SpikeCount s)
    {
        var east = s.LongitudeDeg > 180 ? s.LongitudeDeg - 360 : s.LongitudeDeg;
        return s.LatitudeDeg >= rule["southDeg"] && s.LatitudeDeg <= rule["northDeg"] && east >= rule["westDeg"] && east <= rule["eastDeg"];
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = 2 * (rule.View is null ? context.Views : 1);
        var rate = FalseAlarmDesign.UpperTail(rule["significance"]) * context.OrbitsPerMonth;
        return new(rule.Id, series, rate, rate * series, 0,
            $"Gaussian tail of {FlagText.Number(rule["significance"])} σ with {FlagText.Number(rule["clustering"])} times Poisson variance, inside and outside the region; the least excess of {FlagText.Number(rule["excess"])} spikes/row lowers it further");
    }

    // Chosen: a day has about six orbits that cross the region, each another way.
    private const int LeastCrossings = 5;

    private readonly record struct OrbitSum(int Orbit, long Spikes, long Rows)
    {
        public double Rate => Spikes / (double)Rows;
    }
}
