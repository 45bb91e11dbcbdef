using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Data;

/// <summary>Units of work that failed: which, why, what to do; an operator can have them tried again.</summary>
public sealed partial class SetAsidePanel(Stores stores, ICurrentActor actor)
{
    // Chosen: a bad set can fail every orbit; some tell the story.
    private const int MostShown = 20;
    private string? refusal;

    /// <summary>The units.</summary>
    [Parameter, EditorRequired]
    public IReadOnlyList<SetAsideWork> Aside { get; set; } = default!;

    /// <summary>Called after a step.</summary>
    [Parameter]
    public EventCallback OnChanged { get; set; }

    private async Task RetryAsync()
    {
        try
        {
            var by = await actor.GetAsync(Roles.Operator);
            await stores.Database.WriteAsync(t => RecordStore.Append(t, by, RecordKinds.WorkRetry, "work set aside", new { SetAside = Aside.Count }, null, null));
            stores.Work.TryAgain();
            refusal = null;
        }
        catch (InvalidOperationException stated)
        {
            refusal = stated.Message;
        }
        await OnChanged.InvokeAsync();
    }
}
