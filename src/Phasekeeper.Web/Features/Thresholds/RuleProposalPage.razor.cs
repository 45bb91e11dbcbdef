using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Flags.Rehearsal;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>A proposed change of the rules with its rehearsal, and the decision about it.</summary>
public sealed partial class RuleProposalPage(Stores stores, RuleDesk desk, ICurrentActor actor)
{
    private readonly RuleQueries queries = new(stores);
    private RuleProposalItem? proposal;
    private RehearsalReport? report;
    private IReadOnlyList<(string Rule, IReadOnlyList<RuleDifference> Differences)> differences = [];
    private bool open, busy;
    private long inForce;
    private int next;
    private int? orbit;
    private string? reason, refusal;

    /// <summary>Number of the proposal.</summary>
    [Parameter]
    public string Id { get; set; } = "";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.Rules;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        long? number = long.TryParse(Id, NumberStyles.None, CultureInfo.InvariantCulture, out var id) ? id : null;
        return () =>
        {
            var row = number is { } n ? stores.Rules.Get(n) : null;
            var item = number is { } m ? queries.Proposal(m) : null;
            if (row is null || item is null) return () => proposal = null;
            var versions = stores.Rules.Versions();
            var isOpen = item.State == RuleWords.Proposed;
            // While it waits: against what is in force. Once decided: against what it was proposed against, for good.
            var against = isOpen ? versions[^1] : versions.FirstOrDefault(v => v.Id == row.Against) ?? versions[0];
            var differ = RuleDesk.Differences(StoredRules.Read(against), StoredRules.Read(row)).Where(d => row.Rule is null || d.Rule == row.Rule).ToArray();
            var read = row.Evidence is { } e ? RehearsalReport.Read(stores.Rules.Evidence(e)!.Document) : null;
            var first = Math.Max((stores.Orbits.Last ?? -1) + 1, versions[^1].FromOrbit ?? 0);
            return () => (proposal, report, differences, open, inForce, next) = (item, read, differ, isOpen, versions[^1].Id, first);
        };
    }

    // What was shown as in force, and the rehearsal that was shown, go along: a decision about something else is refused.
    private Task ApproveAsync() => StepAsync(async () =>
        await desk.ApproveAsync(proposal!.Id, new() { Reason = reason, FromOrbit = orbit, InPlaceOf = inForce, Evidence = proposal.Evidence }, await actor.GetAsync(Roles.CalibrationLead)));

    private Task DeclineAsync() => StepAsync(async () => await desk.DeclineAsync(proposal!.Id, reason, await actor.GetAsync(Roles.CalibrationLead)));

    private Task WithdrawAsync() => StepAsync(async () => await desk.WithdrawAsync(proposal!.Id, reason, await actor.GetAsync(Roles.Analyst)));

    private async Task StepAsync(Func<Task> step)
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(step);
        }
        finally
        {
            busy = false;
        }
        await LoadAsync();
    }
}
