using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
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
    public string? VisibilityKind { get; set; }

    /// <summary>Exposure whose image is shown.</summary>
    [SupplyParameterFromQuery(Name = "exposure")]
    public long? ExposureNumber { get; set; }

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
    public int? RowText { get; set; }

    /// <summary>Start of a stretch chosen in a plot over time.</summary>
    [SupplyParameterFromQuery(Name = "from")]
    public string? ZoomFrom { get; set; }

    /// <summary>End of a stretch chosen in a plot over time.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? ZoomTo { get; set; }

    private bool CountsDays => Mission is { Orbits.CountsDays: true };

    private string Name => (orbit?.Number ?? Number) is not { } number ? "Orbit"
        : CountsDays ? $"Day {DateOnly.FromDayNumber(number + DateOnly.FromDateTime(DateTime.UnixEpoch).DayNumber):yyyy-MM-dd}" : $"Orbit {number}";

    private bool HasInstrument => Mission?.Instrument is not null;

    private string? ViewName => orbit is not null && orbit.Views.Contains(ViewText) ? ViewText : null;

    private string? LineName => orbit is not null && orbit.Lines.Contains(LineText) ? LineText : null;

    private string HeatView => ViewName ?? orbit!.Views[0];

    private string HeatLine => LineName ?? orbit!.Lines[0];

    private string HeatKind => VisibilityKind == "lamp" ? "lamp" : "scene";

    private string ImageView => orbit!.Views.Contains(ImageViewText) ? ImageViewText! : HeatView;

    private string ImageLine => orbit!.Lines.Contains(ImageLineText) ? ImageLineText! : HeatLine;

    private int RowNumber => RowText is { } row && row >= 0 && row < orbit!.Rows ? row : orbit!.Rows / 2;

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
    protected override Func<Action> Loader()
    {
        var (mission, number, exposure, kind) = (Mission!, Number, ExposureNumber, ExposureKindText);
        zoom.Follow(ZoomFrom, ZoomTo);
        return () =>
        {
            var read = queries.Read(mission, number);
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
