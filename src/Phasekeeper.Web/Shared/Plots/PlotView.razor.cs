using Microsoft.AspNetCore.Components;
using Microsoft.JSInterop;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>
/// The plot of the whole application. It fetches a <see cref="PlotDocument"/> from <see cref="Url"/> over HTTP, outside the
/// circuit, and draws it in the browser; zooming asks again for the visible range. Loading, empty and failed states are
/// shown in its frame, whose height never changes.
/// </summary>
public sealed partial class PlotView(IJSRuntime js) : IAsyncDisposable
{
    private readonly string titleId = "plot-" + Guid.NewGuid().ToString("N")[..8];
    private ElementReference root;
    private IJSObjectReference? module;
    private DotNetObjectReference<PlotView>? self;
    private PlotViewOptions? shown;
    private bool disposed;

    /// <summary>Quantity shown; the plot's accessible name.</summary>
    [Parameter, EditorRequired]
    public string Title { get; set; } = "";

    /// <summary>Address of the plot's data, with its own query; null = there is nothing to plot yet.</summary>
    [Parameter]
    public string? Url { get; set; }

    /// <summary>Height of the drawing, px. Default 280.</summary>
    [Parameter]
    public int Height { get; set; } = 280;

    /// <summary>Any other number than before means that the data have changed: they are fetched again and redrawn in place.</summary>
    [Parameter]
    public long Revision { get; set; }

    /// <summary>Plots of one group zoom together in time; null = alone.</summary>
    [Parameter]
    public string? Group { get; set; }

    /// <summary>True where the document may hold heat maps, for which a larger script is loaded. Default false.</summary>
    [Parameter]
    public bool HeatMaps { get; set; }

    /// <summary>True where the document has <see cref="PlotDocument.Panels"/>: they need no plot script, cannot be zoomed, and give the frame the height they need.</summary>
    [Parameter]
    public bool Panels { get; set; }

    /// <summary>What to say while <see cref="Url"/> is null.</summary>
    [Parameter]
    public string EmptyText { get; set; } = "There is nothing to plot yet.";

    /// <summary>Called after the range was changed by hand; both ends null = the whole range again.</summary>
    [Parameter]
    public EventCallback<PlotZoom> OnZoom { get; set; }

    /// <summary>Called with a point's place in x (axis unit) and its trace's name when a point is clicked.</summary>
    [Parameter]
    public EventCallback<PlotClick> OnPoint { get; set; }

    /// <summary>Address that takes the plot as it is seen (title, address of its data, document); null = it cannot be attached.</summary>
    [Parameter]
    public string? AttachTo { get; set; }

    /// <summary>True where who may write can keep the plot as seen beside a flag that is found in a small form. Default false: reports and plots of a flag's own page.</summary>
    [Parameter]
    public bool ToFlags { get; set; }

    /// <summary>With <see cref="ToFlags"/>, for a plot without an axis of time: the stretch whose flags are offered; null = the newest.</summary>
    [Parameter]
    public TimeStretch? Span { get; set; }

    /// <summary>Controls beside the title.</summary>
    [Parameter]
    public RenderFragment? HeadContent { get; set; }

    /// <inheritdoc/>
    protected override async Task OnAfterRenderAsync(bool firstRender)
    {
        if (Url is null && shown is null) return;
        var wanted = new PlotViewOptions(Url, Revision, Group, HeatMaps, Panels, Title, OnZoom.HasDelegate, OnPoint.HasDelegate, PlotScripts.Lines, PlotScripts.HeatMaps);
        if (wanted == shown) return;
        shown = wanted;
        module ??= await js.InvokeAsync<IJSObjectReference>("import", PlotScripts.Module);
        if (disposed) return;
        self ??= DotNetObjectReference.Create(this);
        await module.InvokeVoidAsync("show", root, wanted, self);
    }

    /// <summary>Called by the script after a zoom: ISO 8601 UTC, or null for the whole range.</summary>
    [JSInvokable]
    public Task Zoomed(string? from, string? to) => OnZoom.InvokeAsync(new PlotZoom(
        Instant.TryParseUtc(from, out var start) ? start : null, Instant.TryParseUtc(to, out var end) ? end : null));

    /// <summary>Called by the script after a click on a point.</summary>
    [JSInvokable]
    public Task Clicked(string trace, double x, double y) => OnPoint.InvokeAsync(new PlotClick(trace, x, y));

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        disposed = true;
        try
        {
            if (module is not null)
            {
                await module.InvokeVoidAsync("dispose", root);
                await module.DisposeAsync();
            }
        }
        catch (JSDisconnectedException)
        {
            // The browser is gone, and the drawing with it: nothing is left to free.
        }
        self?.Dispose();
    }
}

/// <summary>The visible range after a zoom; both ends null = the whole range.</summary>
public readonly record struct PlotZoom(Instant? From, Instant? To);

/// <summary>A clicked point: trace name and place, in the axes' units.</summary>
public readonly record struct PlotClick(string Trace, double X, double Y);

/// <summary>What the script needs to know; compared to tell whether anything has changed.</summary>
internal sealed record PlotViewOptions(
    string? Url, long Revision, string? Group, bool HeatMaps, bool Panels, string Title, bool ReportsZoom, bool ReportsPoints, string LineScript, string HeatMapScript);
