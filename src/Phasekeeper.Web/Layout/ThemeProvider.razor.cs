using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;

namespace Phasekeeper.Web.Layout;

/// <summary>
/// Keeps MudBlazor's palette in step with the theme that theme.js has put on the document. The server learns it from a
/// cookie for the first rendering and from the browser afterwards.
/// </summary>
public sealed partial class ThemeProvider(IJSRuntime js) : IAsyncDisposable
{
    private bool isDark;
    private DotNetObjectReference<ThemeProvider>? self;

    [CascadingParameter]
    private HttpContext? Http { get; set; }

    /// <summary>True from the first rendering to the interactive one, so that nothing flickers in between.</summary>
    [PersistentState]
    public bool? StartedDark { get; set; }

    /// <inheritdoc/>
    protected override void OnInitialized()
    {
        StartedDark ??= Http?.Request.Cookies["pk-theme"] == "dark";
        isDark = StartedDark.Value;
    }

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!firstRender) return;
        self = DotNetObjectReference.Create(this);
        SetDark(await js.InvokeAsync<bool>("pkTheme.follow", self));
    }

    /// <summary>Called by theme.js when the theme in use has changed.</summary>
    [JSInvokable]
    public void SetDark(bool dark)
    {
        if (isDark == dark) return;
        isDark = dark;
        StateHasChanged();
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (self is null) return;
        try
        {
            await js.InvokeVoidAsync("pkTheme.unfollow");
        }
        catch (JSDisconnectedException)
        {
            // The browser is gone, and its listener with it: nothing is left to undo.
        }
        self.Dispose();
    }
}
