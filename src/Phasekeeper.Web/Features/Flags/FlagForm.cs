using Microsoft.AspNetCore.Components;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>A form about one flag: one press at a time, and what is refused stands in the form.</summary>
public abstract class FlagForm : ComponentBase
{
    /// <summary>Called after a press, refused or not.</summary>
    [Parameter]
    public EventCallback OnDone { get; set; }

    /// <summary>Whether a press is at work.</summary>
    protected bool Busy { get; private set; }

    /// <summary>Why the last press was refused; null when it was not.</summary>
    protected string? Refusal { get; set; }

    /// <summary>Does what was pressed. Refusals (something is missing, gone, or not allowed any more) are told in the form.</summary>
    protected async Task DoAsync(Func<Task> work)
    {
        ArgumentNullException.ThrowIfNull(work);
        (Busy, Refusal) = (true, null);
        try
        {
            await work();
        }
        catch (Exception stated) when (stated is InvalidOperationException or KeyNotFoundException)
        {
            Refusal = stated.Message;
        }
        finally
        {
            Busy = false;
        }
        await OnDone.InvokeAsync();
    }
}
