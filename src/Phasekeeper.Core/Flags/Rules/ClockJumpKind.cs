using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Packet times jumped against their counters.</summary>
public sealed class ClockJumpKind : IntakeEventRule
{
    /// <inheritdoc/>
    public override string Id => "clock-jump";
    /// <inheritdoc/>
    public override string Title => "Clock jumped";
    /// <inheritdoc/>
    public override string LooksAt => "Packet times against sequence counts: speaks when the time jumps by more than a limit while the counts run on.";
    /// <inheritdoc/>
    public override string Advice => "Places and orbits of the packets concerned follow their (wrong) time: do not use them until the time is understood. Clock corrections on board are for the mission's flight rules and its operators.";
    /// <inheritdoc/>
    public override string Unit => "s";
    /// <inheritdoc/>
    protected override IntakeEventKind Event => IntakeEventKind.ClockJump;
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => [new("minimum", "s", "Jumps smaller than this, either way, are passed over.", 2, 0, 1e9)];
    /// <inheritdoc/>
    protected override WindsInDoubt Doubt => new(null, null, null, null, "their time, and so their place and the satellite's speed, may be wrong");

    /// <inheritdoc/>
    protected override (double Value, double Limit, FlagSeverity Severity, string Text)? Judge(RuleDeclaration rule, int orbit, string subject, IReadOnlyList<IntakeEvent> events)
    {
        var worst = events.MaxBy(e => Math.Abs(e.AmountS))!;
        if (Math.Abs(worst.AmountS) < rule["minimum"]) return null;
        return (worst.AmountS, Math.Sign(worst.AmountS) * rule["minimum"], FlagSeverity.Warning,
            $"The clock of {subject} jumped {(worst.AmountS < 0 ? "back" : "forwards")} by {FlagText.Duration(Math.Abs(worst.AmountS))} at {FlagText.Moment(worst.Time)} while its sequence counts ran on.");
    }
}
