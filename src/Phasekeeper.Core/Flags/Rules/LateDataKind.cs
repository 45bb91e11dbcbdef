using Phasekeeper.Core.Flags.Inputs;

namespace Phasekeeper.Core.Flags.Rules;

/// <summary>Data of a live mission came late.</summary>
public sealed class LateDataKind : OrbitFactKind
{
    /// <inheritdoc/>
    public override string Id => "late-data";
    /// <inheritdoc/>
    public override string Title => "Data came late";
    /// <inheritdoc/>
    public override string LooksAt => "Largest time from measurement to ingest of an orbit's packets, for live missions only: speaks when it is longer than a limit.";
    /// <inheritdoc/>
    public override string Advice => "Nothing is lost and all values are recomputed; repeated lateness is a matter for the downlink schedule, which the mission's operators decide.";
    /// <inheritdoc/>
    public override string Unit => "s";
    /// <inheritdoc/>
    public override RuleNeeds Needs => RuleNeeds.Arrivals;
    /// <inheritdoc/>
    protected override string Subject => "latency";
    /// <inheritdoc/>
    protected override IReadOnlyList<RuleParameter> OwnParameters => TwoLimits(6 * 3600, 24 * 3600, 1e9);

    /// <inheritdoc/>
    protected override IEnumerable<Fact> Facts(RuleDeclaration rule, RuleInputs inputs)
    {
        foreach (var a in inputs.Arrivals)
            if (double.IsFinite(a.LatencyS))
                yield return new(a.Orbit, a.LatencyS, null, null, limit =>
                    $"Data of orbit {a.Orbit} arrived up to {FlagText.Duration(a.LatencyS)} after they were measured; limit {FlagText.Duration(limit)}.");
    }
}
