using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Days;

/// <summary>The day's orbits, and the form that holds one or lets it go.</summary>
public sealed partial class DayOrbits(SignOffDesk desk, ICurrentActor actor)
{
    private ElementReference reasonBox;
    private string? reason, refusal;
    private int? chosen;
    private bool busy, focus;

    /// <summary>The day.</summary>
    [Parameter, EditorRequired]
    public DaySheet Sheet { get; set; } = default!;

    /// <summary>Called after a step.</summary>
    [Parameter]
    public EventCallback OnDone { get; set; }

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!focus) return;
        focus = false;
        await reasonBox.FocusAsync();
    }

    private void Choose(int orbit)
    {
        chosen = chosen == orbit ? null : orbit;
        (focus, refusal) = (chosen is not null, null);
    }

    private async Task SendAsync(int orbit, bool held)
    {
        (busy, refusal) = (true, null);
        try
        {
            await desk.HoldAsync(orbit, held, reason, await actor.GetAsync(Roles.Operator));
            (chosen, reason) = (null, null);
        }
        catch (Exception stated) when (stated is InvalidOperationException or KeyNotFoundException)
        {
            // The reason is missing, somebody was faster, or the role was taken away: what was written stays.
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
        await OnDone.InvokeAsync();
    }
}
