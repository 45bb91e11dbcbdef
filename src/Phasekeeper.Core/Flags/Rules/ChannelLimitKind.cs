using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>
/// A channel outside its limits: those of the rule where it sets any, else the alarm ranges of the telemetry definition. So many samples in a
/// row must be out (persistence), and the flag goes on until the value is back inside by a share of the range (hysteresis).
/// </summary>
public sealed class ChannelLimitKind : RuleKind
{
    /// <inheritdoc/>
    public override string Id => "channel-limit";
    /// <inheritdoc/>
    public override string Title => "Channel out of limits";
    /// <inheritdoc/>
    public override string LooksAt => "Every sample of a channel against its limits, by default the alarm ranges of the telemetry definition (watch: notice; warning and distress: warning; critical and severe: critical).";
    /// <inheritdoc/>
    public override string Advice => "Look at the channel with its heater, mode and eclipse beside it. The limits of the mission's flight rules, and what is done when they are passed, come before anything said here.";
    /// <inheritdoc/>
    public override string Unit => "channel";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Channels;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Channels;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        Bound("noticeLow", "Below this: notice."), Bound("noticeHigh", "Above this: notice."),
        Bound("warningLow", "Below this: warning."), Bound("warningHigh", "Above this: warning."),
        Bound("criticalLow", "Below this: critical."), Bound("criticalHigh", "Above this: critical."),
        RuleParameter.Whole("persistenceSamples", "samples", "So many samples in a row must be out of limits.", 3, 1, 100000),
        new("hysteresisPercent", "%", "A flag goes on until the value is inside by this share of the range between the limits (of the limit's size when there is one limit only).", 2, 0, 50),
        new("breakS", "s", "A hole in the samples longer than this ends a run: what happened in it is not known.", 600, 1, 1e7),
        new("designMargin", "σ", "Distance of healthy samples from the nearest limit in their own scatter; only for the expected number of false flags.", 7, 1, 100),
        new("samplesPerOrbit", "1", "Independent samples an orbit; only for the expected number of false flags.", 600, 1, 1e6),
    ];

    private static RuleParameter Bound(string name, string meaning) =>
        new(name, "channel", meaning + " When any of the six is set, they replace the definition's ranges.", double.NaN, -1e12, 1e12);

    /// <inheritdoc/>
    // breakS is shorter than an orbit as a rule; when it is not, the reach grows with it (an orbit is never shorter than 5000 s).
    public override int ReachOrbits(RuleDeclaration rule) =>
        rule.Whole("quietOrbits") + 1 + (int)Math.Min(1000, Math.Ceiling(rule["breakS"] * rule["persistenceSamples"] / 5000));

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var channel in inputs.Channels.OrderBy(c => c.Channel, StringComparer.Ordinal))
        {
            var limits = LimitsOf(rule, channel.Limits);
            if (limits is null || channel.Samples.Count == 0 || !rule.WatchesChannel(channel.Channel)) continue;
            foreach (var severity in Enum.GetValues<FlagSeverity>())
                foreach (var condition in EvaluateLevel(rule, inputs, channel, limits, severity)) yield return condition;
        }
    }

    private IEnumerable<Condition> EvaluateLevel(RuleDeclaration rule, RuleInputs inputs, ChannelStretch channel, ChannelLimits limits, FlagSeverity severity)
    {
        var (low, high) = limits.Of(severity);
        if (double.IsNaN(low) && double.IsNaN(high) && !limits.Labels.Values.Contains(severity)) yield break;
        var share = rule["hysteresisPercent"] / 100;
        var back = share * (double.IsNaN(low) ? Math.Abs(high) : double.IsNaN(high) ? Math.Abs(low) : high - low);
        var origin = channel.Samples[0].Time;
        bool Out(ChannelSample s) => s.Value < low || s.Value > high || (s.Label is not null && limits.Labels.TryGetValue(s.Label, out var of) && of == severity);
        // Hardly a channel ever is out: no run begins without a sample that is.
        if (!AnyOut(channel.Samples, Out)) yield break;
        var points = channel.Samples.Select(s => new RunPoint(s.Time - origin, Out(s), s.Value < low + back || s.Value > high - back)).ToList();
        foreach (var (first, last) in RunDetector.Find(points, rule.Whole("persistenceSamples"), rule["breakS"]))
        {
            var worst = first;
            for (var i = first; i <= last; i++) if (Beyond(channel.Samples[i], low, high) > Beyond(channel.Samples[worst], low, high)) worst = i;
            var sample = channel.Samples[worst];
            var byLabel = !(sample.Value < low || sample.Value > high);
            var limit = byLabel ? double.NaN : sample.Value > high ? high : low;
            var what = byLabel ? $"read '{sample.Label}'" : $"reached {FlagText.WithUnit(sample.Value, channel.Unit)}";
            var bound = byLabel ? "" : $"; {severity.ToString().ToLowerInvariant()} limit {FlagText.WithUnit(limit, channel.Unit)}";
            yield return TimeCondition(rule, inputs, channel.Channel, null, null, severity, channel.Samples[first].Time, channel.Samples[last].Time,
                sample.Value, limit, channel.Unit, byLabel ? 0 : Beyond(sample, low, high),
                $"{channel.Channel} {what} at {FlagText.Moment(sample.Time)}{bound}.", channel.Channel);
        }
    }

    private static bool AnyOut(IReadOnlyList<ChannelSample> samples, Func<ChannelSample, bool> isOut)
    {
        for (var i = 0; i < samples.Count; i++)
            if (isOut(samples[i])) return true;
        return false;
    }

    private static double Beyond(ChannelSample s, double low, double high) =>
        Math.Max(double.IsNaN(high) ? double.NegativeInfinity : s.Value - high, double.IsNaN(low) ? double.NegativeInfinity : low - s.Value);

    /// <summary>The limits that a rule holds a channel against; null when there are none.</summary>
    /// <param name="rule">A rule of this kind.</param>
    /// <param name="definition">The channel's alarm ranges in the telemetry definition.</param>
    public static ChannelLimits? LimitsOf(RuleDeclaration rule, ChannelLimits? definition)
    {
        ArgumentNullException.ThrowIfNull(rule);
        var own = Own(rule);
        var limits = own.IsEmpty ? definition : own;
        return limits is { IsEmpty: false } ? limits : null;
    }

    private static ChannelLimits Own(RuleDeclaration rule) => new()
    {
        NoticeLow = rule["noticeLow"],
        NoticeHigh = rule["noticeHigh"],
        WarningLow = rule["warningLow"],
        WarningHigh = rule["warningHigh"],
        CriticalLow = rule["criticalLow"],
        CriticalHigh = rule["criticalHigh"],
    };

    /// <inheritdoc/>
    public override IEnumerable<string> Check(RuleDeclaration rule)
    {
        foreach (var level in new[] { "notice", "warning", "critical" })
            if (rule[level + "Low"] > rule[level + "High"])
                yield return $"{level}Low {FlagText.Number(rule[level + "Low"])} is above {level}High {FlagText.Number(rule[level + "High"])}; expected low below high";
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = context.ChannelsOf(rule);
        var rate = FalseAlarmDesign.RunStarts(rule["designMargin"], 0, rule.Whole("persistenceSamples"), true) * rule["samplesPerOrbit"] * context.OrbitsPerMonth;
        return new(rule.Id, series, rate, rate * series, rate * series,
            $"{FlagText.Count(rule.Whole("persistenceSamples"), "independent sample")} in a row beyond a limit that is {FlagText.Number(rule["designMargin"])} σ away");
    }
}
