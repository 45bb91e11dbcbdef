using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>A channel changes too fast: difference of the means of two neighbouring windows, per minute.</summary>
public sealed class ChannelRateKind : RuleKind
{
    /// <inheritdoc/>
    public override string Id => "channel-rate";
    /// <inheritdoc/>
    public override string Title => "Channel changes too fast";
    /// <inheritdoc/>
    public override string LooksAt => "The rate of change of a channel, from the means of neighbouring windows of time: speaks when its size exceeds a limit for so many windows in a row.";
    /// <inheritdoc/>
    public override string Advice => "A real change of that speed points to a heater, a mode change or sunlight where there should be none; a jump back and forth to the sensor. Action on board is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "channel/min";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Channels;
    /// <inheritdoc/>
    public override RuleSelector Selector => RuleSelector.Channels;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        new("limit", "channel/min", "Largest rate that is normal, either way.", 1.5, 1e-12, 1e12),
        new("windowS", "s", "Length of a window; windows are counted from 1970-01-01 TAI, so that they are the same whatever arrives first.", 120, 1, 3600),
        RuleParameter.Whole("persistenceWindows", "windows", "So many windows in a row must be too fast, in the same direction.", 2, 1, 100),
        RuleParameter.Whole("severity", "1", "Severity of its flags: 0 notice, 1 warning, 2 critical.", 1, 0, 2),
        new("designSigma", "channel/min", "Scatter of the healthy rate, its normal course included; only for the expected number of false flags.", 0.25, 1e-12, 1e12),
    ];

    /// <inheritdoc/>
    public override int ReachOrbits(RuleDeclaration rule) =>
        rule.Whole("quietOrbits") + 1 + (int)Math.Min(100, Math.Ceiling(rule["windowS"] * (rule["persistenceWindows"] + 1) / 5000));

    /// <inheritdoc/>
    public override IEnumerable<Condition> Evaluate(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var channel in inputs.Channels.Where(c => rule.WatchesChannel(c.Channel)).OrderBy(c => c.Channel, StringComparer.Ordinal))
        {
            var rates = Rates(channel, rule["windowS"]);
            foreach (var sign in new[] { 1, -1 })
                foreach (var (first, last) in RunDetector.Find([.. rates.Select(r => new RunPoint(r.Window, sign * r.PerMinute > rule["limit"], false))], rule.Whole("persistenceWindows"), 1))
                {
                    var worst = rates.GetRange(first, last - first + 1).MaxBy(r => sign * r.PerMinute);
                    yield return TimeCondition(rule, inputs, channel.Channel, null, null, (FlagSeverity)rule.Whole("severity"), rates[first].From, rates[last].To,
                        worst.PerMinute, sign * rule["limit"], channel.Unit + "/min", Math.Abs(worst.PerMinute),
                        $"{channel.Channel} {(sign > 0 ? "rose" : "fell")} by {FlagText.WithUnit(Math.Abs(worst.PerMinute), channel.Unit)} a minute at {FlagText.Moment(worst.From)}; limit {FlagText.Number(rule["limit"])}.", channel.Channel);
                }
        }
    }

    private static List<Rate> Rates(ChannelStretch channel, double windowS)
    {
        var windowNs = (long)(windowS * 1e9);
        var means = new List<(long Window, double Mean, Time.Instant Middle)>();
        foreach (var group in channel.Samples.Where(s => double.IsFinite(s.Value)).GroupBy(s => (long)Math.Floor(s.Time.TaiNanoseconds / (double)windowNs)))
        {
            double sum = 0, time = 0;
            var n = 0;
            var first = default(Time.Instant);
            foreach (var s in group)
            {
                if (n++ == 0) first = s.Time;
                sum += s.Value;
                time += s.Time - first;
            }
            means.Add((group.Key, sum / n, first.AddSeconds(time / n)));
        }
        var rates = new List<Rate>();
        for (var i = 1; i < means.Count; i++)
        {
            var seconds = means[i].Middle - means[i - 1].Middle;
            // Only neighbouring windows, and not two samples that happen to lie on either side of a border.
            if (means[i].Window != means[i - 1].Window + 1 || seconds < windowS / 4) continue;
            rates.Add(new(means[i].Window, 60 * (means[i].Mean - means[i - 1].Mean) / seconds, means[i - 1].Middle, means[i].Middle));
        }
        return rates;
    }

    /// <inheritdoc/>
    public override FalseAlarmEstimate ExpectedFalseFlags(RuleDeclaration rule, DesignContext context)
    {
        var series = context.ChannelsOf(rule);
        var rate = FalseAlarmDesign.RunStarts(rule["limit"] / rule["designSigma"], 0, rule.Whole("persistenceWindows"), true)
            * context.OrbitS / rule["windowS"] * context.OrbitsPerMonth;
        return new(rule.Id, series, rate, rate * series, rule["severity"] >= 2 ? rate * series : 0,
            $"{FlagText.Count(rule.Whole("persistenceWindows"), "window")} in a row beyond {FlagText.Number(rule["limit"] / rule["designSigma"])} σ of the healthy rate");
    }

    private readonly record struct Rate(long Window, double PerMinute, Time.Instant From, Time.Instant To);
}
