using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Routing;
using Microsoft.AspNetCore.Components.Web;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.SharedViews;

/// <summary>Saves the page as it is seen, by its address, under a name for the team.</summary>
public sealed partial class SaveView(SharedViewDesk desk, ICurrentActor actor, NavigationManager navigation) : IDisposable
{
    private ElementReference first, opener;
    private string? name, note, refusal, told;
    private bool isOpen, busy, focusFirst;

    /// <inheritdoc/>
    protected override void OnInitialized() => navigation.LocationChanged += Moved;

    /// <inheritdoc/>
    public void Dispose() => navigation.LocationChanged -= Moved;

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!focusFirst) return;
        focusFirst = false;
        await first.FocusAsync();
    }

    // What was said belongs to the page that was left; what was written stays.
    private void Moved(object? sender, LocationChangedEventArgs change) => _ = InvokeAsync(() =>
    {
        (refusal, told) = (null, null);
        StateHasChanged();
    });

    private void Toggle()
    {
        (isOpen, refusal, told) = (!isOpen, null, null);
        focusFirst = isOpen;
    }

    private Task Key(KeyboardEventArgs key) => key.Key == "Escape" ? CloseAsync() : Task.CompletedTask;

    private async Task CloseAsync()
    {
        (isOpen, refusal) = (false, null);
        await opener.FocusAsync();
    }

    private async Task SaveAsync()
    {
        (busy, refusal) = (true, null);
        try
        {
            await desk.SaveAsync(name, note, new Uri(navigation.Uri).PathAndQuery, await actor.GetAsync(Roles.Operator));
            told = name!.Trim();
            (name, note) = (null, null);
            await CloseAsync();
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
