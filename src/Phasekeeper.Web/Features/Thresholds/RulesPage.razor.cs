using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>The rules in force, their versions, what waits for a decision, and the events that people know of.</summary>
public sealed partial class RulesPage(Stores stores)
{
    private readonly RuleQueries queries = new(stores);
    private IReadOnlyList<RuleItem> rules = [];
    private IReadOnlyList<RuleVersionItem> versions = [];
    private IReadOnlyList<RuleProposalItem> proposals = [];
    private IReadOnlyList<KnownEventRow> events = [];
    private IReadOnlyList<(string Rule, IReadOnlyList<RuleDifference> Differences)> differences = [];
    private long before, after, assessing;

    /// <summary>The earlier version of a comparison; absent = the one before the newest.</summary>
    [SupplyParameterFromQuery(Name = "before")]
    public string? BeforeText { get; set; }

    /// <summary>The later version; absent = the newest.</summary>
    [SupplyParameterFromQuery(Name = "after")]
    public string? AfterText { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Rules or ChangeKind.Flag or ChangeKind.Orbit;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var mission = Mission!;
        var most = stores.Rules.Versions().Count;
        var (a, b) = (address.Whole("before", BeforeText, 1, most, "The newest two versions are compared") ?? Math.Max(1, most - 1), address.Whole("after", AfterText, 1, most, "The newest two versions are compared") ?? most);
        return () =>
        {
            var read = (queries.Rules(mission), queries.Versions(), queries.Proposals(), stores.KnownEvents.List(null, Instant.MinValue, Instant.MaxValue));
            var rows = stores.Rules.Versions();
            var differ = RuleDesk.Differences(StoredRules.Read(rows.First(v => v.Id == a)), StoredRules.Read(rows.First(v => v.Id == b)));
            var waiting = stores.Work.Count().GetValueOrDefault(WorkKinds.Assess);
            return () => ((rules, versions, proposals, events), differences, before, after, assessing) = (read, differ, a, b, waiting);
        };
    }
}
