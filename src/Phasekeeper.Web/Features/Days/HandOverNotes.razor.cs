using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Days;

/// <summary>Notes from shift to shift.</summary>
public sealed partial class HandOverNotes(SignOffDesk desk, ICurrentActor actor)
{
    private string? text, refusal;
    private bool busy;

    /// <summary>Day that a new note is about.</summary>
    [Parameter, EditorRequired]
    public DateOnly Day { get; set; }

    /// <summary>The newest notes, newest first.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<HandOverItem> Notes { get; set; } = [];

    /// <summary>Called after a step.</summary>
    [Parameter]
    public EventCallback OnDone { get; set; }

    private Task WriteAsync() => DoAsync(async who =>
    {
        await desk.HandOverAsync(Day, text, who);
        text = null;
    });

    private Task ReadAsync(long note) => DoAsync(who => desk.ReadNoteAsync(note, who));

    private async Task DoAsync(Func<Actor, Task> step)
    {
        (busy, refusal) = (true, null);
        try
        {
            await step(await actor.GetAsync(Roles.Operator));
        }
        catch (Exception stated) when (stated is InvalidOperationException or KeyNotFoundException)
        {
            // No text, read before, or the role was taken away: what was written stays.
            refusal = stated.Message;
        }
        finally
        {
            busy = false;
        }
        await OnDone.InvokeAsync();
    }
}
