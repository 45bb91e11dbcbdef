using Phasekeeper.Core.Flags.Rules;

namespace Phasekeeper.Core.Flags;

/// <summary>All kinds of rules. A new kind is one class in Rules/ and one line here; parsing, evaluation, replay, pages and help follow.</summary>
public static class RuleCatalog
{
    /// <summary>Kinds in the order in which pages show them.</summary>
    public static IReadOnlyList<RuleKind> All { get; } =
    [
        new ThermalResidualKind(),
        new PhaseResidualKind(),
        new VisibilityLossKind(),
        new LampLossKind(),
        new LampMissingKind(),
        new ImageShiftStepKind(),
        new DarkGrowthKind(),
        new HotSampleGrowthKind(),
        new SpikeStormKind(),
        new DriftKind(),
        new TrackerLimitKind(),
        new ChannelLimitKind(),
        new ChannelRateKind(),
        new ProfileChangeKind(),
        new IncompleteOrbitKind(),
        new DataGapKind(),
        new LateDataKind(),
        new ClockJumpKind(),
        new UndecodableDataKind(),
        new DataConflictKind(),
        new CoverageMissingKind(),
        new StaleCoefficientsKind(),
        new ActivityOverrunKind(),
    ];

    private static readonly Dictionary<string, RuleKind> ById = All.ToDictionary(k => k.Id, StringComparer.Ordinal);

    /// <summary>A kind by id; null when there is none.</summary>
    public static RuleKind? Find(string id) => ById.GetValueOrDefault(id);

    /// <summary>A kind by id; throws with the ids that there are.</summary>
    public static RuleKind Of(string id) => Find(id)
        ?? throw new KeyNotFoundException($"Found the rule kind '{id}'; expected one of {string.Join(", ", All.Select(k => k.Id))}.");
}
