using Microsoft.AspNetCore.Components;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>A static page whose forms change something about notices: what was done or refused is said in the answer, and what the page shows is read again.</summary>
public abstract class NoticeFormsPage : ComponentBase
{
    /// <summary>Why nothing was done; null when all went well.</summary>
    protected string? Refusal { get; private set; }

    /// <summary>What was done.</summary>
    protected string? Said { get; set; }

    /// <inheritdoc/>
    protected override void OnInitialized() => Read();

    /// <summary>Reads what the page shows.</summary>
    protected abstract void Read();

    /// <summary>Does what a form asks for.</summary>
    protected async Task TryAsync(Func<Task> change)
    {
        ArgumentNullException.ThrowIfNull(change);
        try
        {
            await change();
        }
        catch (Exception stated) when (stated is NoticeException or AccessDeniedException)
        {
            Refusal = stated.Message;
        }
        Read();
    }
}
