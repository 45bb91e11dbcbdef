using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Which set is in force when, all sets with who and why, and going back to one.</summary>
public sealed partial class SetsTimeline(CoefficientDesk desk, ICurrentActor actor)
{
    private long chosen;
    private int? orbit;
    private string? reason;
    private string? refusal;
    private bool busy;

    /// <summary>All sets.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<CoefficientSetItem> Sets { get; set; } = [];

    /// <summary>Stretches, ascending.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<DecidedStretch> Timeline { get; set; } = [];

    /// <summary>Called when something was decided.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    // Sets that can come back: approved once, and another one is in force.
    private IReadOnlyList<CoefficientSetItem> Former =>
        Timeline.Count < 2 && Sets.Count < 2 ? [] : [.. Sets.Where(s => s.State is CoefficientDecision.Approved or CoefficientDecision.Reinstated && s.Id != Timeline[^1].SetId)];

    private async Task ReinstateAsync()
    {
        (busy, refusal) = (true, null);
        try
        {
            refusal = await Refusals.OfAsync(async () =>
            {
                await desk.ReinstateAsync(chosen, new() { Reason = reason, FromOrbit = orbit }, await actor.GetAsync(Roles.CalibrationLead));
                (chosen, orbit, reason) = (0, null, null);
            });
        }
        finally
        {
            busy = false;
        }
        await OnChanged.InvokeAsync();
    }
}
