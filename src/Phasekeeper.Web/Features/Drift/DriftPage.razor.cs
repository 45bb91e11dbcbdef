using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Live;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>Any tracker over days to years, against time or another series. Everything chosen stands in the address.</summary>
public sealed partial class DriftPage(Stores stores)
{
    private readonly DriftQueries queries = new(stores);
    private IReadOnlyList<TrackerChoice> choices = [];
    private IReadOnlyList<DriftSeries> shown = [];
    private IReadOnlyList<SeriesKey> acrossChoices = [];
    private TrackerChoice? picked;
    private string pickedSeries = "";
    private string? pickedChannel;
    private string? pickedFor;
    private int flagCount;
    private readonly PlotZoomState zoom = new();
    private (string? Range, bool IsZoomed) wanted;
    private string across = "time";
    private TimeStretch? span;

    /// <summary>Series shown, as <see cref="SeriesText"/> writes them.</summary>
    [SupplyParameterFromQuery(Name = "s")]
    public string[]? Chosen { get; set; }

    /// <summary>What the x axis is: time, or a series.</summary>
    [SupplyParameterFromQuery(Name = "x")]
    public string? AcrossText { get; set; }

    /// <summary>Range: see <see cref="RangeWord"/>.</summary>
    [SupplyParameterFromQuery(Name = "range")]
    public string? RangeText { get; set; }

    /// <summary>Start of a range chosen in the plot.</summary>
    [SupplyParameterFromQuery(Name = "from")]
    public string? ZoomFrom { get; set; }

    /// <summary>End of a range chosen in the plot.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? ZoomTo { get; set; }

    private RangeWord Range => RangeWord.Of(wanted.Range, DriftQueries.DefaultRange);

    private string Across => across;

    private int PlotHeight => 360 + 150 * (shown.Select(s => s.Unit ?? s.Key.Tracker).Distinct(StringComparer.Ordinal).Count() - 1) + (Across == "time" && shown is [{ IsCharted: true }, ..] ? 120 : 0);

    private string? PlotUrl => shown.Count == 0 ? null
        : "/api/v1/plots/drift?" + string.Join('&', shown.Select(s => "s=" + Uri.EscapeDataString(SeriesText.Write(s.Key)))) + $"&range={Range.Word}&x={Uri.EscapeDataString(Across)}"
            + zoom.Query;

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Orbit or ChangeKind.Coefficients or ChangeKind.Flag;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (fromText, toText) = address.Stretch(ZoomFrom, ZoomTo);
        zoom.Follow(fromText, toText);
        wanted = (address.Word("range", RangeText, RangeWord.All.Select(r => r.Word), $"The range is {RangeWord.Of(null, DriftQueries.DefaultRange).Title}"), fromText is not null);
        var (mission, asked, askedAcross) = (Mission!, Chosen, string.IsNullOrEmpty(AcrossText) ? "time" : AcrossText);
        var range = new RangeWordOrZoom(Range, Instant.TryParseUtc(fromText, out var f) ? f : null, Instant.TryParseUtc(toText, out var t) ? t : null);
        return () =>
        {
            var all = queries.Choices(mission);
            var known = all.SelectMany(c => c.Series).ToHashSet();
            var readable = (asked ?? []).Where(s => s.Length > 0).Select(text => (Text: text, Key: SeriesText.Read(text))).ToArray();
            foreach (var (text, key) in readable)
                if (key is not { } one || !known.Contains(one)) address.Note("s", text, "a tracker series that has values", "It is left out");
            var keys = readable.Select(r => r.Key).OfType<SeriesKey>().Where(known.Contains).Distinct().Take(DriftPlots.MostSeries).ToArray();
            if (keys.Length == 0) keys = [.. DriftQueries.Standard(all)];
            var (from, to) = queries.Range(range);
            var read = keys.Select(k => queries.Read(mission, k, from, to)).ToArray();
            SeriesKey[] axes = [.. new[] { new SeriesKey("beta-angle", null, null), new SeriesKey("eclipse-fraction", null, null) }.Concat(SeriesText.Temperatures(mission)).Where(known.Contains)];
            if (askedAcross != "time" && !(SeriesText.Read(askedAcross) is { } axis && known.Contains(axis)))
            {
                address.Note("x", askedAcross, "time, or a tracker series that has values", "The series are shown over time");
                askedAcross = "time";
            }
            var flags = keys.Length > 0 ? queries.Flags(keys[0], from, to).Count : 0;
            return () =>
            {
                (choices, shown, acrossChoices, flagCount, across, span) = (all, read, axes, flags, askedAcross, new(from, to));
                FollowChoice(keys);
            };
        };
    }

    // The chooser shows what the plot shows, until a person picks something else in it.
    private void FollowChoice(SeriesKey[] keys)
    {
        var first = keys.Length > 0 ? string.Join('|', keys.Select(SeriesText.Write)) : null;
        if (pickedFor == first && picked is not null && choices.FirstOrDefault(c => c.Info.Id == picked.Info.Id) is { } same)
        {
            picked = same;
            return;
        }
        pickedFor = first;
        picked = choices.FirstOrDefault(c => keys.Length > 0 && c.Info.Id == keys[0].Tracker) ?? (choices.Count > 0 ? choices[0] : null);
        pickedSeries = keys.Length == 1 ? SeriesText.Write(keys[0]) : "";
        pickedChannel = keys.Length > 0 && keys[0].Channel is { } channel ? channel : picked?.Series.Select(s => s.Channel).FirstOrDefault();
    }

    private SeriesKey[] Picked() => picked is null ? []
        : pickedChannel is not null && picked.Series.Any(s => s.Channel is not null) ? [.. picked.Series.Where(s => s.Channel == pickedChannel)]
        : pickedSeries.Length > 0 ? [.. picked.Series.Where(s => SeriesText.Write(s) == pickedSeries)]
        : [.. picked.Series];

    private void PickTracker(ChangeEventArgs change)
    {
        picked = choices.FirstOrDefault(c => c.Info.Id == change.Value as string) ?? picked;
        pickedSeries = "";
        pickedChannel = picked?.Series.Select(s => s.Channel).FirstOrDefault(c => c is not null);
    }

    private void PickChannel(ChangeEventArgs change) => pickedChannel = change.Value as string;

    private void PickSeries(ChangeEventArgs change) => pickedSeries = change.Value as string ?? "";

    private void PickAcross(ChangeEventArgs change) => SetQuery(false, ("x", change.Value as string is { } x and not "time" ? x : null));

    private void ShowPicked() => Show(Picked());

    private void AddPicked() => Show([.. shown.Select(s => s.Key).Concat(Picked()).Distinct().Take(DriftPlots.MostSeries)]);

    private void Remove(SeriesKey key) => Show([.. shown.Select(s => s.Key).Where(k => k != key)]);

    private void Show(SeriesKey[] keys) => SetQuery(false, ("s", keys.Take(DriftPlots.MostSeries).Select(SeriesText.Write).ToArray()), ("from", null), ("to", null));

    private string Only(SeriesKey key) => Navigation.GetUriWithQueryParameter("s", SeriesText.Write(key));

    private string Address(string name, string? value) => Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { [name] = value, ["from"] = null, ["to"] = null });

    private void Zoomed(PlotZoom range) => SetQuery(true, zoom.Report(range));

    private void Open(PlotClick click)
    {
        if (Across != "time" || Mission is not { Orbits: var orbits } || orbits.At(PlotTime.ToInstant(click.X)) is not { } slot) return;
        Navigation.NavigateTo($"/orbit/{slot.Number}");
    }
}
