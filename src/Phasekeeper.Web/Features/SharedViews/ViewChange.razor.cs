using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.SharedViews;

/// <summary>Renames or retires one shared view.</summary>
public sealed partial class ViewChange(SharedViewDesk desk, ICurrentActor actor)
{
    private string? name, note, refusal;
    private long revision = -1;
    private bool busy;

    /// <summary>The view.</summary>
    [Parameter, EditorRequired]
    public SharedViewRow View { get; set; } = default!;

    /// <summary>Called with what was done.</summary>
    [Parameter]
    public EventCallback<string> OnDone { get; set; }

    /// <inheritdoc/>
    protected override void OnInitialized() => (name, note, revision) = (View.Name, View.Note, View.Revision);

    private Task RenameAsync() => DoAsync(async who => await desk.RenameAsync(View.Id, revision, name, note, who), () => $"“{View.Name}” is called “{name!.Trim()}” now.");

    private Task RetireAsync() => DoAsync(async who => await desk.RetireAsync(View.Id, revision, who), () => $"“{View.Name}” is retired.");

    private async Task DoAsync(Func<Actor, Task> step, Func<string> told)
    {
        (busy, refusal) = (true, null);
        try
        {
            await step(await actor.GetAsync(Roles.Operator));
            var words = told();
            revision++;
            await OnDone.InvokeAsync(words);
        }
        catch (ViewMovedException moved)
        {
            // Told once with what is there now; sent again, it is done knowingly.
            (refusal, revision) = (moved.Message, View.Revision);
        }
        catch (Exception stated) when (stated is RequestRefusedException or AccessDeniedException)
        {
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
    }
}
