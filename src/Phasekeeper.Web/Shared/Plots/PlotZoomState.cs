namespace Phasekeeper.Web.Shared.Plots;

/// <summary>
/// A page's zoom as it stands in the address (<c>from</c>, <c>to</c>). The range last reported by a plot itself is in the address already and must not draw the
/// plot anew; one that comes with an address does.
/// </summary>
public sealed class PlotZoomState
{
    private (string? From, string? To) reported;
    private (string? From, string? To) drawn;

    /// <summary>What a plot's address takes: "&amp;from=…&amp;to=…", or nothing.</summary>
    public string Query => drawn.From is null ? "" : $"&from={Uri.EscapeDataString(drawn.From)}&to={Uri.EscapeDataString(drawn.To ?? "")}";

    /// <summary>Takes over what the address says now.</summary>
    public void Follow(string? from, string? to)
    {
        if ((from, to) != reported) drawn = reported = (from, to);
    }

    /// <summary>A plot was zoomed by hand: gives what the address is to say.</summary>
    public (string Name, object? Value)[] Report(PlotZoom zoom)
    {
        reported = (zoom.From?.ToString(), zoom.To?.ToString());
        if (zoom.From is null) drawn = reported;
        return [("from", reported.From), ("to", reported.To)];
    }
}
