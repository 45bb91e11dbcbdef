using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Packets that claim the same place with different bytes.</summary>
public sealed class DataConflictKind : IntakeEventRule
{
    /// <inheritdoc/>
    public override string Id => "data-conflict";
    /// <inheritdoc/>
    public override string Title => "Packets contradict each other";
    /// <inheritdoc/>
    public override string LooksAt => "Packets (or detector rows) that claim the same place with different bytes: speaks whenever there are any.";
    /// <inheritdoc/>
    public override string Advice => "One of each pair is used, the other waits in quarantine: compare them there and find out which source is wrong. Anything to be changed on board is for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "packets";
    /// <inheritdoc/>
    protected override IntakeEventKind Event => IntakeEventKind.Conflict;
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => [RuleParameter.Whole("minimum", "packets", "Fewer in an orbit are passed over.", 1, 1, 1000000)];
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt => new(null, null, null, null, "they may rest on the wrong one of two packets");

    /// <inheritdoc/>
    protected override (double Value, double Limit, FlagSeverity Severity, string Text)? Judge(RuleDeclaration rule, int orbit, string subject, IReadOnlyList<IntakeEvent> events)
    {
        var count = events.Sum(e => e.Count);
        if (count < rule["minimum"]) return null;
        return (count, rule["minimum"], FlagSeverity.Warning,
            $"{FlagText.Count(count, "packet")} of {subject} on orbit {orbit} claim a place that another packet holds with different bytes; of each pair the one with the smaller SHA-256 is used.");
    }
}
