using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Data;

/// <summary>What arrived, what could not be used, the files beside packets, and upload by hand. Tab, span, zoom and list are in the address.</summary>
public sealed partial class DataPage(Stores stores, IntakeService intake)
{
    private readonly DataQueries queries = new(stores, intake);
    private readonly PlotZoomState zoom = new();
    private DataView? view;
    private (string Tab, string? Span, string State) wanted = (DataTabs.Arrived, DataSpans.Default, "waiting");

    /// <summary>See <see cref="DataTabs"/>; absent = what arrived.</summary>
    [SupplyParameterFromQuery]
    public string? Tab { get; set; }

    /// <summary>24h, 7d, 30d or all; absent = 7d.</summary>
    [SupplyParameterFromQuery]
    public string? Span { get; set; }

    /// <summary>State of the quarantine items shown; absent = waiting.</summary>
    [SupplyParameterFromQuery]
    public string? State { get; set; }

    /// <summary>Continuation of the quarantine list.</summary>
    [SupplyParameterFromQuery]
    public string? Next { get; set; }

    /// <summary>Start of a range chosen in the plot.</summary>
    [SupplyParameterFromQuery(Name = "from")]
    public string? ZoomFrom { get; set; }

    /// <summary>End of a range chosen in the plot.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? ZoomTo { get; set; }

    private string CurrentTab => wanted.Tab;

    private string? CurrentSpan => wanted.Span;

    private string CurrentState => wanted.State;

    private long Waiting => view?.WaitingByKind.Values.Sum() ?? 0;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (from, to) = address.Stretch(ZoomFrom, ZoomTo);
        zoom.Follow(from, to);
        var span = address.Word("span", Span, [.. DataSpans.Names, "all"], $"The last {DataSpans.Default} are shown") ?? DataSpans.Default;
        wanted = (address.Word("tab", Tab, DataTabs.All.Select(t => t.Id), "What arrived is shown") ?? DataTabs.Arrived, span == "all" ? null : span,
            address.Word("state", State, ["waiting", "retried", "discarded"], "Items that wait are shown") ?? "waiting");
        var request = new DataRequest(CurrentTab, DataSpans.SecondsOf(CurrentSpan), CurrentState, Next);
        return () =>
        {
            DataView read;
            try
            {
                read = queries.Read(request);
            }
            catch (ContinuationException)
            {
                address.Note("next", Next!, "what a link to older items says", "The newest items are shown");
                read = queries.Read(request with { Next = null });
            }
            return () => view = read;
        };
    }

    private string Link(string name, string? value) => name == "span"
        ? Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { ["span"] = value ?? "all", ["from"] = null, ["to"] = null })
        : Navigation.GetUriWithQueryParameters(name == "next"
            ? new Dictionary<string, object?> { ["next"] = value }
            : new Dictionary<string, object?> { [name] = value, ["next"] = null });

    private string? PlotUrl(DataView view) => view.To is null ? null : $"/api/v1/plots/completeness?span={CurrentSpan ?? "all"}{zoom.Query}";

    private void Zoomed(PlotZoom range) => SetQuery(true, zoom.Report(range));
}
