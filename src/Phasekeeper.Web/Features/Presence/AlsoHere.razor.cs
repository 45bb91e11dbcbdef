using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Authorization;
using Microsoft.AspNetCore.Components.Routing;

namespace Phasekeeper.Web.Features.Presence;

/// <summary>Who else looks at this page now. Everybody who signs in sees it and is seen.</summary>
public sealed partial class AlsoHere(PagePresence presence, CircuitPresence own, NavigationManager navigation) : IDisposable
{
    // Chosen: a line has room for as many names.
    private const int Most = 5;
    private IReadOnlyList<PresentPerson> others = [];
    private string? name;

    [CascadingParameter]
    private Task<AuthenticationState> Authentication { get; set; } = default!;

    private string Path => new Uri(navigation.Uri).AbsolutePath;

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        // A page that the server renders before its circuit is looked at by nobody yet.
        if (!firstRender) return;
        name = (await Authentication).User.Identity is { IsAuthenticated: true, Name: { } known } ? known : null;
        if (name is null) return;
        presence.Changed += Refresh;
        navigation.LocationChanged += Moved;
        own.Show(name, Path);
        Refresh();
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (name is null) return;
        presence.Changed -= Refresh;
        navigation.LocationChanged -= Moved;
        own.Show(name, null);
    }

    private void Moved(object? sender, LocationChangedEventArgs change)
    {
        own.Show(name!, Path);
        Refresh();
    }

    private void Refresh() => _ = InvokeAsync(() =>
    {
        var now = presence.Others(name!, Path);
        if (now.SequenceEqual(others)) return;
        others = now;
        StateHasChanged();
    });

    private static string Since(PresentPerson person) => person.Since.UtcDateTime.ToString("HH:mm", System.Globalization.CultureInfo.InvariantCulture);
}
