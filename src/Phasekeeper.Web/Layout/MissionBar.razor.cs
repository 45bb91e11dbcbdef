namespace Phasekeeper.Web.Layout;

/// <summary>Mission name, mission time with orbit number, live indicator and lag; follows <see cref="MissionStatus"/>.</summary>
public sealed partial class MissionBar(MissionStatus status) : IDisposable
{
    private MissionSnapshot Now => status.Current;

    private string InstrumentTitle => Now.Instrument is { } instrument ? $"{Now.Mission}, instrument {instrument}" : Now.Mission;

    private string FeedClass => Now.Feed.ToString().ToLowerInvariant();

    private string FeedWord => Now.Feed switch
    {
        FeedState.Waiting => "waiting",
        FeedState.UpToDate => "live",
        FeedState.Processing => "processing",
        FeedState.Stopped => "stopped",
        _ => throw new InvalidOperationException($"Feed state {Now.Feed} has no word; add it in MissionBar."),
    };

    private string FeedTitle => Now.Feed switch
    {
        FeedState.Waiting => "No packet has arrived yet",
        FeedState.UpToDate => "Everything received is processed; this page updates itself",
        FeedState.Processing => Now.Waiting is { } waiting ? $"Being processed: {waiting}" : "Received data are being processed",
        _ => Now.Waiting ?? "Processing has stopped; the server's log says why",
    };

    /// <inheritdoc/>
    protected override void OnInitialized() => status.Changed += Refresh;

    /// <inheritdoc/>
    public void Dispose() => status.Changed -= Refresh;

    private void Refresh() => _ = InvokeAsync(StateHasChanged);
}
