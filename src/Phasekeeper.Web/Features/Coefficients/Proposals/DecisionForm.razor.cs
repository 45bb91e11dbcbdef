using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Approves or declines a proposed set with a reason, from an orbit on.</summary>
public sealed partial class DecisionForm(CoefficientDesk desk, ICurrentActor actor)
{
    private string? reason;
    private int? orbit;
    private bool overLater;
    private string? refusal;
    private bool busy;

    /// <summary>The proposed set.</summary>
    [Parameter, EditorRequired]
    public CoefficientSetItem Set { get; set; } = default!;

    /// <summary>All sets, for their names.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    /// <summary>What approving would do as things stand; null where it cannot be said.</summary>
    [Parameter, EditorRequired]
    public DecisionOutcome? Outlook { get; set; }

    /// <summary>Whether there is evidence to decide by.</summary>
    [Parameter]
    public bool HasEvidence { get; set; }

    /// <summary>The evidence that is shown; null for none.</summary>
    [Parameter]
    public long? EvidenceId { get; set; }

    /// <summary>Whether some is being computed.</summary>
    [Parameter]
    public bool IsComputing { get; set; }

    /// <summary>Called when it was tried.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private string From => Outlook!.Orbit is { } number ? $"from orbit {number} ({UtcText.DateAndMinute(Outlook.From)} UTC)" : Outlook.From == Instant.MinValue ? "from the beginning" : $"from {UtcText.DateAndMinute(Outlook.From)} UTC";

    // Another orbit than the one that is shown: the desk holds it against what the proposal rests on.
    private Task ApproveAsync() => DecideAsync(async by =>
        await desk.ApproveAsync(Set.Id, new() { Reason = reason, FromOrbit = orbit, OverLater = overLater, Evidence = EvidenceId, InPlaceOf = orbit is null || orbit == Outlook?.Orbit ? Outlook?.InPlaceOf : null }, by));

    private Task DeclineAsync() => DecideAsync(by => desk.DeclineAsync(Set.Id, reason, by));

    private async Task DecideAsync(Func<Actor, Task> decide)
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(async () => await decide(await actor.GetAsync(Roles.CalibrationLead)));
        }
        finally
        {
            busy = false;
        }
        await OnChanged.InvokeAsync();
    }
}
