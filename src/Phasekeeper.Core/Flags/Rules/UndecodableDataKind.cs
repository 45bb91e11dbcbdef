using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Bytes that could not be decoded.</summary>
public sealed class UndecodableDataKind : IntakeEventRule
{
    /// <inheritdoc/>
    public override string Id => "undecodable-data";
    /// <inheritdoc/>
    public override string Title => "Data could not be decoded";
    /// <inheritdoc/>
    public override string LooksAt => "What went to quarantine in an orbit: speaks when there is more than a limit.";
    /// <inheritdoc/>
    public override string Advice => "Look at the reasons on the quarantine page: bad checksums ask for a replay, unknown containers for a new telemetry definition and a retry. Replays follow the mission's flight rules.";
    /// <inheritdoc/>
    public override string Unit => "packets";
    /// <inheritdoc/>
    protected override IntakeEventKind Event => IntakeEventKind.Undecodable;

    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters =>
    [
        RuleParameter.Whole("noticeLimit", "packets", "At least so many in an orbit are a notice.", 1, 1, 1000000),
        RuleParameter.Whole("warningLimit", "packets", "At least so many in an orbit are a warning.", 20, 1, 1000000),
    ];

    /// <inheritdoc/>
    protected override (double Value, double Limit, FlagSeverity Severity, string Text)? Judge(RuleDeclaration rule, int orbit, string subject, IReadOnlyList<IntakeEvent> events)
    {
        var count = events.Sum(e => e.Count);
        if (count < Math.Min(rule["noticeLimit"], rule["warningLimit"])) return null;
        var (severity, limit) = count >= rule["warningLimit"] ? (FlagSeverity.Warning, rule["warningLimit"]) : (FlagSeverity.Notice, rule["noticeLimit"]);
        var reasons = Reasons(events);
        return (count, limit, severity, $"{FlagText.Count(count, "piece")} of {subject} on orbit {orbit} could not be decoded and wait in quarantine{(reasons.Length > 0 ? $" ({reasons})" : "")}.");
    }
}
