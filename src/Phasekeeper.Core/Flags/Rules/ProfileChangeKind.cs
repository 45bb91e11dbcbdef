using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// A channel's course over the orbit differs from that of recent orbits. Per phase bin, z = (mean − median of recent orbits) / σ with σ the
/// robust scatter of the recent orbits, never less than a share of the channel's swing; a bin departs when |z| is over a limit and the value also lies outside of
/// what the recent orbits showed within a few bins of that phase (what switches on and off, or follows an eclipse that moves, comes a little earlier
/// or later); the orbit differs when enough bins depart.
/// </summary>
public sealed class ProfileChangeKind : RuleKind
{
    /// <inheritdoc/>
    public override string Id => "profile-change";
    /// <inheritdoc/>
    public override string Title => "Orbit course differs";
    /// <inheritdoc/>
    public override string LooksAt => "A channel folded over the orbit against the recent orbits, bin by bin of orbit phase: speaks when enough of the orbit departs.";
    /// <inheritdoc/>
    public override string Advice => "Something on board behaves otherwise than on the orbits before: compare heaters, modes and the eclipse, and ask whether an activity was planned. Switching anything is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "%";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Profiles;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Channels;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        new("limit", "%", "Share of the orbit's bins that must depart.", 25, 1, 100),
        new("binSigmas", "σ", "A bin departs when it is this far from the recent median.", 6, 2, 50),
        RuleParameter.Whole("phaseReach", "bins", "A value that recent orbits had within this many bins of the phase does not depart.", 2, 0, 24),
        RuleParameter.Whole("baselineOrbits", "orbits", "Recent orbits that make the median.", 15, 5, 150),
        RuleParameter.Whole("minimumOrbits", "orbits", "Fewer recent orbits with data are no baseline.", 8, 4, 150),
        new("floorPercent", "%", "σ of a bin is at least this share of the median profile's swing.", 3, 0, 100),
        new("floor", "channel", "σ of a bin is at least this.", 0.02, 0, 1e12),
        RuleParameter.Whole("independentBins", "1", "Bins that scatter independently of each other; only for the expected number of false flags.", 8, 1, 1000),
        RuleParameter.Whole("severity", "1", "Severity of its flags: 0 notice, 1 warning.", 1, 0, 1),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) => rule.Whole("baselineOrbits") + rule.Whole("quietOrbits") + 1;

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var group in inputs.Profiles.Where(p => rule.WatchesChannel(p.Channel)).GroupBy(p => p.Channel, StringComparer.Ordinal).OrderBy(g => g.Key, StringComparer.Ordinal))
        {
            var profiles = group.OrderBy(p => p.Orbit).ToList();
            for (var i = 0; i < profiles.Count; i++)
                if (Judge(rule, inputs, profiles, i) is { } condition) yield return condition;
        }
    }

    private Condition? Judge(RuleDeclaration rule, RuleInputs inputs, List<ChannelProfile> profiles, int i)
    {
        var here = profiles[i];
        var recent = new List<ChannelProfile>();
        for (var j = i - 1; j >= 0 && profiles[j].Orbit >= here.Orbit - rule.Whole("baselineOrbits"); j--)
            if (profiles[j].BinMeans.Length == here.BinMeans.Length) recent.Add(profiles[j]);
        // A counter has no course: it is another number on every orbit.
        if (recent.Count < rule["minimumOrbits"] || 2 * recent.Count(CountsUp) > recent.Count) return null;
        var bins = here.BinMeans.Length;
        var medians = new double[bins];
        var sigmas = new double[bins];
        for (var b = 0; b < bins; b++)
        {
            var values = recent.Select(p => p.BinMeans[b]).Where(double.IsFinite).ToList();
            medians[b] = values.Count >= rule["minimumOrbits"] ? BaselineStatistics.Median(values) : double.NaN;
            sigmas[b] = double.IsNaN(medians[b]) ? double.NaN : BaselineStatistics.RobustSigma(values, medians[b]);
        }
        var known = medians.Where(double.IsFinite).ToList();
        if (known.Count == 0) return null;
        var least = Math.Max(rule["floor"], rule["floorPercent"] / 100 * (known.Max() - known.Min()));
        int usable = 0, departing = 0, worst = -1;
        double worstZ = 0;
        for (var b = 0; b < bins; b++)
        {
            if (!double.IsFinite(medians[b]) || !double.IsFinite(here.BinMeans[b])) continue;
            usable++;
            var sigma = Math.Max(sigmas[b], least);
            var z = sigma > 0 ? Math.Abs(here.BinMeans[b] - medians[b]) / sigma : 0;
            if (z <= rule["binSigmas"] || WasSeenNear(recent, b, rule.Whole("phaseReach"), here.BinMeans[b], least)) continue;
            departing++;
            if (z > worstZ) (worst, worstZ) = (b, z);
        }
        // Half of the orbit must be there to be judged.
        if (usable * 2 < bins || departing == 0) return null;
        var share = 100.0 * departing / usable;
        if (share < rule["limit"]) return null;
        return OrbitCondition(rule, inputs, here.Channel, null, null, (FlagSeverity)rule.Whole("severity"), here.Orbit, here.Orbit, here.Orbit, share, rule["limit"], Unit,
            share * worstZ, $"{here.Channel} departed from the recent orbits over {FlagText.Number(share)} % of orbit {here.Orbit}: at most by "
            + $"{FlagText.WithUnit(here.BinMeans[worst] - medians[worst], here.Unit)} ({FlagText.Number(here.BinMeans[worst])} instead of {FlagText.WithUnit(medians[worst], here.Unit)}); limit {FlagText.Number(rule["limit"])} % of the orbit.",
            channel: here.Channel);
    }

    /// <summary>True for a course that rises and never falls.</summary>
    private static bool CountsUp(ChannelProfile profile)
    {
        var known = profile.BinMeans.Where(double.IsFinite).ToArray();
        for (var b = 1; b < known.Length; b++)
            if (known[b] < known[b - 1]) return false;
        return known.Length > 1 && known[^1] > known[0];
    }

    /// <summary>
    /// True when the value lies within the range, widened by <paramref name="margin"/>, that the median recent orbit covered near a phase (so that a departure does
    /// not excuse the next one). Orbits join: phase is a circle.
    /// </summary>
    private static bool WasSeenNear(List<ChannelProfile> recent, int bin, int reach, double value, double margin)
    {
        var lows = new List<double>(recent.Count);
        var highs = new List<double>(recent.Count);
        foreach (var profile in recent)
        {
            double low = double.PositiveInfinity, high = double.NegativeInfinity;
            for (var d = -reach; d <= reach; d++)
            {
                var near = profile.BinMeans[(bin + d + profile.BinMeans.Length) % profile.BinMeans.Length];
                if (!double.IsFinite(near)) continue;
                low = Math.Min(low, near);
                high = Math.Max(high, near);
            }
            if (low > high) continue;
            lows.Add(low);
            highs.Add(high);
        }
        return value >= BaselineStatistics.Median(lows) - margin && value <= BaselineStatistics.Median(highs) + margin;
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var n = rule.Whole("independentBins");
        // σ and median of 15 orbits are themselves uncertain: the tail is Student's, here with 8 degrees of freedom for the MAD of 15 values.
        var p = 2 * StudentTail.Upper(rule["binSigmas"] / Math.Sqrt(1 + Math.PI / 2 / rule["baselineOrbits"]), 8);
        var m = Math.Max(1, (int)Math.Ceiling(rule["limit"] / 100 * n));
        var rate = FalseAlarmDesign.AtLeast(m, n, p) * context.OrbitsPerMonth;
        var series = context.ChannelsOf(rule);
        return new(rule.Id, series, rate, rate * series, 0,
            $"at least {m} of {n} independent bins beyond {FlagText.Number(rule["binSigmas"])} σ of a robust baseline of {rule.Whole("baselineOrbits")} orbits");
    }
}
