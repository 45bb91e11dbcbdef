using Microsoft.AspNetCore.Components;

namespace Phasekeeper.Web.Features.Record;

/// <summary>Whether the record is as it was written, with everything that is not.</summary>
public sealed partial class ChainState(RecordWatch watch) : IDisposable
{
    private bool busy;

    /// <summary>Number of entries now, and the hash of the newest.</summary>
    [Parameter, EditorRequired]
    public (long Entries, byte[] Hash) Head { get; set; }

    /// <inheritdoc/>
    protected override void OnInitialized() => watch.Changed += Refresh;

    /// <inheritdoc/>
    public void Dispose() => watch.Changed -= Refresh;

    private async Task VerifyAsync()
    {
        busy = true;
        try
        {
            await watch.VerifyAsync();
        }
        finally
        {
            busy = false;
        }
    }

    private void Refresh() => _ = InvokeAsync(StateHasChanged);
}
