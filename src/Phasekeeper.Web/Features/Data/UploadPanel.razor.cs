using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;

namespace Phasekeeper.Web.Features.Data;

/// <summary>Upload by hand, file after file, with progress and what became of each.</summary>
public sealed partial class UploadPanel(IJSRuntime js) : IAsyncDisposable
{
    private const string Module = "./Features/Data/UploadPanel.razor.js";

    private ElementReference root;
    private IJSObjectReference? module;

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (!firstRender) return;
        module = await js.InvokeAsync<IJSObjectReference>("import", Module);
        await module.InvokeVoidAsync("start", root);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (module is null) return;
        try
        {
            await module.DisposeAsync();
        }
        catch (JSDisconnectedException)
        {
            // The browser is gone: nothing is left to free.
        }
    }
}
