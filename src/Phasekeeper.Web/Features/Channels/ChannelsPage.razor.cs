using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Live;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Channels;

/// <summary>Any telemetry, several channels at once, from single samples to years. Everything chosen stands in the address.</summary>
public sealed partial class ChannelsPage(Stores stores)
{
    private readonly List<string?> behind = [];
    private string? written;
    private const int PanelPx = 170;
    private readonly ChannelQueries queries = new(stores);
    private IReadOnlyList<ChannelLine> lines = [];
    private IReadOnlyList<string> chosen = [];
    private Instant? missionTime;
    private int panels = 1;
    private readonly PlotZoomState zoom = new();
    private (string? Range, string? Layout, bool IsZoomed) wanted;

    /// <summary>Channels shown.</summary>
    [SupplyParameterFromQuery(Name = "c")]
    public string[]? Chosen { get; set; }

    /// <summary>Words that listed channels must hold.</summary>
    [SupplyParameterFromQuery(Name = "q")]
    public string? Search { get; set; }

    /// <summary>Range: see <see cref="RangeWord"/>.</summary>
    [SupplyParameterFromQuery(Name = "range")]
    public string? RangeText { get; set; }

    /// <summary>unit: channels of one unit share a panel; absent: each has its own.</summary>
    [SupplyParameterFromQuery(Name = "layout")]
    public string? Layout { get; set; }

    /// <summary>Start of a range chosen in the plot.</summary>
    [SupplyParameterFromQuery(Name = "from")]
    public string? ZoomFrom { get; set; }

    /// <summary>End of a range chosen in the plot.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? ZoomTo { get; set; }

    private RangeWord Range => RangeWord.Of(wanted.Range, ChannelPlots.DefaultRange);

    private bool Stacked => wanted.Layout is null;

    private int PlotHeight => 90 + PanelPx * Math.Max(1, panels);

    private string? PlotUrl => chosen.Count == 0 ? null
        : "/api/v1/plots/channels?" + string.Join('&', chosen.Select(c => "c=" + Uri.EscapeDataString(c))) + $"&range={Range.Word}" + (Stacked ? "" : "&layout=" + ChannelPlots.SharedLayout)
            + zoom.Query;

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Hour or ChangeKind.Auxiliary or ChangeKind.Flag;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (from, to) = address.Stretch(ZoomFrom, ZoomTo);
        zoom.Follow(from, to);
        wanted = (address.Word("range", RangeText, RangeWord.All.Select(r => r.Word), $"The range is {RangeWord.Of(null, ChannelPlots.DefaultRange).Title}"),
            address.Word("layout", Layout, [ChannelPlots.SharedLayout], "Each channel has its own panel"), from is not null);
        var (mission, search, asked, stacked) = (Mission!, Search, Chosen, Stacked);
        return () =>
        {
            var list = queries.List(mission, search);
            var parameters = ChannelQueries.Parameters(mission);
            // Without a choice the channels that the profile gives a role are shown: those that the instrument's correction hangs on.
            var names = asked is { Length: > 0 } ? asked.Where(parameters.ContainsKey).Distinct(StringComparer.Ordinal).ToArray() : [.. mission.RoleChannels];
            if (names.Length == 0 && asked is not { Length: > 0 }) names = [.. list.Where(l => l.Count > 0).Take(1).Select(l => l.Name)];
            if (asked is [""]) names = [];
            foreach (var stranger in (asked ?? []).Where(w => w.Length > 0 && !parameters.ContainsKey(w))) address.Note("c", stranger, "a channel of this mission", "It is left out");
            var count = ChannelPlots.Panels([.. names.Select(n => parameters[n])], stacked).Count;
            var time = stores.Archive.LastPacketTime;
            return () => (lines, chosen, panels, missionTime) = (list, names, count, time);
        };
    }

    private string Address(string name, string? value) => Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { [name] = value, ["from"] = null, ["to"] = null });

    private void Toggle(string name)
    {
        string[] next = chosen.Contains(name) ? [.. chosen.Where(c => c != name)] : [.. chosen, name];
        SetQuery(true, ("c", next.Length > 0 ? next : [""]));
    }

    private void Clear() => SetQuery(true, ("c", new[] { "" }));

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        base.OnParametersSet();
        // The address follows what is written, some letters behind; only one that came otherwise (a link, a saved view) changes the field.
        if (behind.IndexOf(Search) is var at && at >= 0) behind.RemoveRange(0, at + 1);
        else if (behind.Count == 0) written = Search;
    }

    private void SearchFor()
    {
        var words = written is { Length: > 0 } ? written : null;
        behind.Add(words);
        SetQuery(true, ("q", words));
    }

    private void ZoomedAsync(PlotZoom range) => SetQuery(true, zoom.Report(range));

    private static string Words(ChannelLine line) =>
        string.Join(" · ", new[] { line.Description, line.Role is null ? "" : $"role: {line.Role}" }.Where(w => w.Length > 0));

    private static string StateTitle(string state) => state == "normal" ? "Within the limits of the telemetry definition." : $"Outside the {(state == "notice" ? "watch" : state)} limit of the telemetry definition.";

    private string Age(ChannelLine line) => line.LastTime is not { } last ? "no data" : missionTime is { } now ? DurationText.Short(Math.Max(0, now - last)) : "";
}
