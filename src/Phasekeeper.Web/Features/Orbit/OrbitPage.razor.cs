using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Live;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>One orbit in full. Without a number in the address it is the newest with data, and moves on as data come. Everything chosen stands in the address.</summary>
public sealed partial class OrbitPage(Stores stores, OrbitCache cache)
{
    private readonly OrbitQueries queries = new(stores, cache);
    private readonly PlotZoomState zoom = new();
    private OrbitView? orbit;
    private OrbitExposure? chosen;
    private int? jump;
    private (string? View, string? Line, string? VisibilityKind, string? ImageView, string? ImageLine, int? Row) wanted;

    /// <summary>Orbit number; null = the newest with data.</summary>
    [Parameter]
    public int? Number { get; set; }

    /// <summary>View of the plots over time; null = all.</summary>
    [SupplyParameterFromQuery(Name = "view")]
    public string? ViewText { get; set; }

    /// <summary>Line of the plots over time; null = all.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Kind of exposure of the visibility map.</summary>
    [SupplyParameterFromQuery(Name = "vkind")]
    public string? VisibilityKindText { get; set; }

    /// <summary>Exposure whose image is shown.</summary>
    [SupplyParameterFromQuery(Name = "exposure")]
    public string? ExposureText { get; set; }

    /// <summary>Its kind.</summary>
    [SupplyParameterFromQuery(Name = "kind")]
    public string? ExposureKindText { get; set; }

    /// <summary>View of the image.</summary>
    [SupplyParameterFromQuery(Name = "fview")]
    public string? ImageViewText { get; set; }

    /// <summary>Line of the image.</summary>
    [SupplyParameterFromQuery(Name = "fline")]
    public string? ImageLineText { get; set; }

    /// <summary>Row of the image that is shown with its fit.</summary>
    [SupplyParameterFromQuery(Name = "row")]
    public string? RowText { get; set; }

    /// <summary>Start of a stretch chosen in a plot over time.</summary>
    [SupplyParameterFromQuery(Name = "from")]
    public string? ZoomFrom { get; set; }

    /// <summary>End of a stretch chosen in a plot over time.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? ZoomTo { get; set; }

    private bool CountsDays => Mission is { Orbits.CountsDays: true };

    private string Name => (orbit?.Number ?? Number) is not { } number ? "Orbit"
        : CountsDays && Mission!.Orbits.Of(number) is not null ? $"Day {DateOnly.FromDayNumber(number + DateOnly.FromDateTime(DateTime.UnixEpoch).DayNumber):yyyy-MM-dd}" : $"Orbit {number}";

    private bool HasInstrument => Mission?.Instrument is not null;

    private string? ViewName => orbit is not null && orbit.Views.Contains(wanted.View) ? wanted.View : null;

    private string? LineName => orbit is not null && orbit.Lines.Contains(wanted.Line) ? wanted.Line : null;

    private string HeatView => ViewName ?? orbit!.Views[0];

    private string HeatLine => LineName ?? orbit!.Lines[0];

    private string HeatKind => wanted.VisibilityKind ?? "scene";

    private string ImageView => orbit!.Views.Contains(wanted.ImageView) ? wanted.ImageView! : HeatView;

    private string ImageLine => orbit!.Lines.Contains(wanted.ImageLine) ? wanted.ImageLine! : HeatLine;

    private int RowNumber => wanted.Row is { } row && row < orbit!.Rows ? row : orbit!.Rows / 2;

    private TimeStretch? Span => orbit!.Slot is { } slot ? new(slot.Start, slot.End) : null;

    private string Group => $"orbit-{orbit!.Number}";

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind switch
    {
        ChangeKind.Orbit => Number is null || change.Key is null || Math.Abs(change.Key.Value - Number.Value) <= OrbitInput.ReachOrbits,
        ChangeKind.Hour => orbit?.Slot is not { } slot || change.Key is not { } hour || (Hour.Start(hour) < slot.End && Hour.End(hour) > slot.Start),
        ChangeKind.Flag or ChangeKind.Coefficients or ChangeKind.Auxiliary => true,
        _ => false,
    };

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        const string firstScene = "The first exposure is shown";
        var (mission, number) = (Mission!, Number);
        var (from, to) = address.Stretch(ZoomFrom, ZoomTo);
        zoom.Follow(from, to);
        if (mission.Instrument is { } instrument)
        {
            string? View(string name, string? text, string instead) => address.Word(name, text, instrument.Views.Select(v => v.Id), instead);
            string? Line(string name, string? text, string instead) => address.Word(name, text, instrument.Lines.Select(l => l.Id), instead);
            wanted = (View("view", ViewText, "All views are shown"), Line("line", LineText, "All lines are shown"), address.Word("vkind", VisibilityKindText, ["scene", "lamp"], "The visibility of scenes is shown"),
                View("fview", ImageViewText, "The image is that of another view"), Line("fline", ImageLineText, "The image is that of another line"),
                (int?)address.Whole("row", RowText, 0, instrument.Rows - 1, "The middle row is shown"));
        }
        var exposure = address.Whole("exposure", ExposureText, 0, long.MaxValue, firstScene);
        var kind = address.Word("kind", ExposureKindText, Enum.GetValues<ExposureKind>().Select(Word), "The exposure is taken to be a scene");
        return () =>
        {
            var read = queries.Read(mission, number);
            if (exposure is not null && read is not null && !read.Exposures.Any(e => e.Exposure == exposure)) address.Note("exposure", ExposureText!, "an exposure of this orbit", firstScene);
            var picked = read?.Exposures.FirstOrDefault(e => e.Exposure == exposure && e.Kind.ToString().Equals(kind ?? "scene", StringComparison.OrdinalIgnoreCase))
                ?? read?.Exposures.FirstOrDefault(e => e.Kind == ExposureKind.Scene) ?? read?.Exposures.FirstOrDefault();
            return () => (orbit, chosen) = (read, picked);
        };
    }

    private string Plot(string what, string? view = null, string? line = null) =>
        $"/api/v1/plots/orbit/{orbit!.Number}/{what}?view={Uri.EscapeDataString(view ?? ViewName ?? "")}&line={Uri.EscapeDataString(line ?? LineName ?? "")}";

    private string TimePlot(string what, string? view = null, string? line = null) => Plot(what, view, line) + zoom.Query;

    private void Zoomed(PlotZoom range) => SetQuery(true, zoom.Report(range));

    private string ImagePlot(string what) => string.Create(CultureInfo.InvariantCulture,
        $"/api/v1/plots/orbit/{orbit!.Number}/{what}?exposure={chosen!.Exposure}&kind={Word(chosen.Kind)}&view={Uri.EscapeDataString(ImageView)}&line={Uri.EscapeDataString(ImageLine)}");

    private string Address(string name, string? value) => Navigation.GetUriWithQueryParameter(name, value);

    // Views, lines and row stay when another orbit is opened; exposure and stretch of time belong to this one.
    private string Beside(int number)
    {
        var query = new Uri(Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { ["exposure"] = null, ["kind"] = null, ["from"] = null, ["to"] = null })).Query;
        return $"/orbit/{number}{query}";
    }

    private string AddressOfExposure(OrbitExposure exposure) =>
        Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { ["exposure"] = exposure.Exposure, ["kind"] = Word(exposure.Kind) });

    private void Jump()
    {
        if (jump is { } number) Navigation.NavigateTo(Beside(number));
    }

    private void Clicked(PlotClick click) => SetQuery(true, ("row", (int)Math.Round(click.Y)));

    private void ChooseRow(ChangeEventArgs change)
    {
        if (int.TryParse(change.Value as string, NumberStyles.None, CultureInfo.InvariantCulture, out var row)) SetQuery(true, ("row", row));
    }

    private static string Word(ExposureKind kind) => kind.ToString().ToLowerInvariant();

    private static string Text(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture).Replace('-', '−');
}
