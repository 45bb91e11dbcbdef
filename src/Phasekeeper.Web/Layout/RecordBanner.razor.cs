using Phasekeeper.Web.Features.Record;

namespace Phasekeeper.Web.Layout;

/// <summary>Says on every page that the record of decisions is broken; nothing while it is whole.</summary>
public sealed partial class RecordBanner(RecordWatch watch) : IDisposable
{
    /// <inheritdoc/>
    protected override void OnInitialized() => watch.Changed += Refresh;

    /// <inheritdoc/>
    public void Dispose() => watch.Changed -= Refresh;

    private void Refresh() => _ = InvokeAsync(StateHasChanged);
}
