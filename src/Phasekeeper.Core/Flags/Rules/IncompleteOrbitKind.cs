using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Part of an orbit's data has not arrived.</summary>
public sealed class IncompleteOrbitKind : OrbitFactKind
{
    /// <inheritdoc/>
    public override string Id => "incomplete-orbit";
    /// <inheritdoc/>
    public override string Title => "Orbit incomplete";
    /// <inheritdoc/>
    public override string LooksAt => "Exposures received against those that the cadence calls for, once mission time has left the orbit: speaks when too many are missing.";
    /// <inheritdoc/>
    public override string Advice => "Look on the Data page which packets are missing, then ask for a replay of the downlink; the flag is withdrawn when they arrive. Downlink requests follow the mission's flight rules.";
    /// <inheritdoc/>
    public override string Unit => "%";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Arrivals;
    /// <inheritdoc/>
    protected override string Subject => "completeness";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => TwoLimits(3, 15, 100);

    /// <inheritdoc/>
    protected override IEnumerable<Fact> Facts(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var a in inputs.Arrivals)
        {
            if (a.Open || a.Expected <= 0) continue;
            yield return new(a.Orbit, 100 * (1 - a.Received / a.Expected), null, null, limit => a.Received == 0
                ? $"Nothing of orbit {a.Orbit} has arrived: {FlagText.Number(a.Expected)} exposures are missing."
                : $"{FlagText.Number(100 * (1 - a.Received / a.Expected))} % of orbit {a.Orbit} is missing: {FlagText.Number(a.Received)} of {FlagText.Number(a.Expected)} exposures arrived; limit {FlagText.Number(limit)} %.");
        }
    }
}
