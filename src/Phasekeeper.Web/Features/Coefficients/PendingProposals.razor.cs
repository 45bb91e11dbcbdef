using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Undecided proposals, each with the form by which a lead decides. What the form shows as in force is sent along: a decision about something else than was seen is refused.</summary>
public sealed partial class PendingProposals(CoefficientDesk desk, ICurrentActor actor)
{
    private readonly Dictionary<long, DecisionDraft> drafts = [];
    private readonly Dictionary<long, string> refusals = [];
    private bool busy;

    /// <summary>All sets.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    /// <summary>What approving would do as things stand.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyDictionary<long, DecisionOutcome?> Outlooks { get; set; } = new Dictionary<long, DecisionOutcome?>();

    /// <summary>Called when something was decided.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private IReadOnlyList<CoefficientSetItem> Pending => [.. Sets.Where(s => s.State == CoefficientDecision.Proposed)];

    private DecisionDraft Draft(long id)
    {
        if (!drafts.TryGetValue(id, out var draft)) drafts.Add(id, draft = new());
        return draft;
    }

    private Task ApproveAsync(CoefficientSetItem set, DecisionOutcome? outlook)
    {
        var draft = Draft(set.Id);
        // Another orbit than the one that is shown: the desk holds it against what the proposal rests on.
        var seen = draft.Orbit is null || draft.Orbit == outlook?.Orbit ? outlook?.InPlaceOf : null;
        return DecideAsync(set.Id, async by => await desk.ApproveAsync(set.Id, new() { Reason = draft.Reason, FromOrbit = draft.Orbit, OverLater = draft.OverLater, InPlaceOf = seen }, by));
    }

    private Task DeclineAsync(CoefficientSetItem set) => DecideAsync(set.Id, by => desk.DeclineAsync(set.Id, Draft(set.Id).Reason, by));

    private async Task DecideAsync(long id, Func<Actor, Task> decide)
    {
        busy = true;
        refusals.Remove(id);
        try
        {
            await decide(await actor.GetAsync(Roles.CalibrationLead));
            drafts.Remove(id);
        }
        catch (Exception refused) when (refused is DecisionRefusedException or AccessDeniedException)
        {
            refusals[id] = refused.Message;
        }
        finally
        {
            busy = false;
        }
        await OnChanged.InvokeAsync();
    }

    private sealed class DecisionDraft
    {
        public string? Reason { get; set; }

        public int? Orbit { get; set; }

        public bool OverLater { get; set; }
    }
}
