using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Pipeline.Coefficients.Evidence;
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
    private bool busy, touched;

    /// <summary>The proposed set.</summary>
    [Parameter, EditorRequired]
    public CoefficientSetItem Set { get; set; } = default!;

    /// <summary>All sets, for their names.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    /// <summary>What the page shows: the outlook from the form's start, and the evidence.</summary>
    [Parameter, EditorRequired]
    public ProposalView View { get; set; } = default!;

    /// <summary>Called with the start that was put into the form.</summary>
    [Parameter]
    public EventCallback<DecisionRequest> OnStart { get; set; }

    /// <summary>Called to compute evidence for the form's start.</summary>
    [Parameter]
    public EventCallback<EvidenceStart> OnEvidence { get; set; }

    /// <summary>Whether some is being computed.</summary>
    [Parameter]
    public bool IsComputing { get; set; }

    /// <summary>Called when it was tried.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private string From => Outlook!.Orbit is { } number ? $"from orbit {number} ({UtcText.DateAndMinute(Outlook.From)} UTC)" : Outlook.From == Instant.MinValue ? "from the beginning" : $"from {UtcText.DateAndMinute(Outlook.From)} UTC";

    private DecisionOutcome? Outlook => View.Outlook;

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        // The start that the evidence is about, until a person has said another.
        if (!touched) orbit = View.Start.FromOrbit;
    }

    private Task StartedAsync()
    {
        touched = true;
        return OnStart.InvokeAsync(new() { FromOrbit = orbit, OverLater = overLater });
    }

    // Another orbit than the one that is shown: the desk holds it against what the proposal rests on. What the evidence rests on is sent as it is shown.
    private Task ApproveAsync() => DecideAsync(async by => await desk.ApproveAsync(Set.Id, new()
    {
        Reason = reason,
        FromOrbit = orbit,
        OverLater = overLater,
        Evidence = View.EvidenceId,
        Ground = View.Standing?.Move.Now,
        InPlaceOf = orbit is null || orbit == Outlook?.Orbit ? Outlook?.InPlaceOf : null,
    }, by));

    private Task DeclineAsync() => DecideAsync(by => desk.DeclineAsync(Set.Id, reason, View.EvidenceId, by));

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
