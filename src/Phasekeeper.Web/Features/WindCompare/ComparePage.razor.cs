using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.WindMeans;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Exports;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Live;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.WindCompare;

/// <summary>A day or orbit against the time before it, in bins of latitude and local time. Everything chosen stands in the address.</summary>
public sealed partial class ComparePage(Stores stores, WindCache cache)
{
    private readonly CompareQueries queries = new(stores);
    private readonly WindQueries winds = new(stores, cache);
    private WindDayView? day;
    private CompareChoice? choice;
    private IReadOnlyList<int> altitudes = [];
    private int? bin;

    /// <summary>UTC day; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "date")]
    public string? DateText { get; set; }

    /// <summary>One orbit alone.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public string? OrbitText { get; set; }

    /// <summary>Line id.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Component.</summary>
    [SupplyParameterFromQuery(Name = "component")]
    public string? ComponentText { get; set; }

    /// <summary>Height, km.</summary>
    [SupplyParameterFromQuery(Name = "altitude")]
    public string? AltitudeText { get; set; }

    /// <summary>What it is compared with.</summary>
    [SupplyParameterFromQuery(Name = "base")]
    public string? BaseText { get; set; }

    /// <summary>Doubtful winds count too.</summary>
    [SupplyParameterFromQuery(Name = "doubtful")]
    public string? DoubtfulText { get; set; }

    /// <summary>Bin whose days are shown.</summary>
    [SupplyParameterFromQuery(Name = "bin")]
    public string? BinText { get; set; }

    private IReadOnlyList<int> leftOut = [];

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds or ChangeKind.Coefficients;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        const string wholeDay = "The whole day is shown";
        var mission = Mission!;
        var date = address.Day("date", DateText, WindDay.Covers, "The newest day with winds is shown");
        var (orbit, line, component) = (address.Orbit(OrbitText, wholeDay), mission.Instrument is { } instrument ? address.Line(LineText, instrument) : null, address.Component(ComponentText));
        var edges = WindBinGrid.AltitudeEdgesKm;
        var altitude = address.Number("altitude", AltitudeText, edges[0], edges[^1], "km", "The height with the most winds is shown");
        var word = address.Word("base", BaseText, CompareBase.All.Select(b => b.Word), $"It is compared with the {CompareBase.Of(null).Title} before");
        var doubtful = address.Word("doubtful", DoubtfulText, ["yes", "no"], "Doubtful winds are left out");
        bin = (int?)address.Whole("bin", BinText, 0, WindBinGrid.Count - 1, "No bin is chosen");
        return () =>
        {
            var read = mission.Instrument is null ? null : winds.Read(mission, date);
            if (read is not null && orbit is not null && !read.Orbits.Any(o => o.Slot.Number == orbit)) address.Note("orbit", OrbitText!, "an orbit of the day that has wind vectors", wholeDay);
            var wanted = read is null ? null : new CompareChoice(read.Date, read.Orbits.Any(o => o.Slot.Number == orbit) ? orbit : null,
                mission.Instrument!.Lines.FirstOrDefault(l => l.Id == line)?.Id ?? mission.Instrument.Lines[0].Id, component == "northward" ? WindComponent.Northward : WindComponent.Eastward,
                Math.Clamp(WindBinGrid.AltitudeOf(altitude ?? WindQueries.DefaultAltitudeKm), 0, edges.Count - 2), CompareBase.Of(word), doubtful == "yes");
            var heights = wanted is null ? [] : queries.Altitudes(mission, wanted);
            // Without a wish, the height with the most winds.
            if (wanted is not null && altitude is null && heights.Count > 0) wanted = wanted with { Altitude = heights.MaxBy(h => h.Count).Altitude };
            var held = wanted is null ? [] : queries.LeftOut(mission, wanted);
            return () => (day, choice, altitudes, leftOut) = (read, wanted, [.. heights.Select(h => h.Altitude)], held);
        };
    }

    private string Url(string what) => string.Create(CultureInfo.InvariantCulture,
        $"/api/v1/plots/winds/compare/{what}?date={choice!.Date:yyyy-MM-dd}&line={Uri.EscapeDataString(choice.Line)}&component={ComparePlots.Word(choice.Component)}&altitude={WindBinGrid.MiddleKm(choice.Altitude)}&base={choice.Base.Word}&doubtful={(choice.WithDoubtful ? "yes" : "no")}")
        + (choice.Orbit is { } orbit ? string.Create(CultureInfo.InvariantCulture, $"&orbit={orbit}") : "");

    private string DayAddress(DateOnly date) => Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { ["date"] = date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), ["orbit"] = null });

    private void PickDay(ChangeEventArgs change)
    {
        if (DateOnly.TryParseExact(change.Value as string, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) && WindDay.Covers(date)) Navigation.NavigateTo(DayAddress(date));
    }

    private void PickAltitude(ChangeEventArgs change)
    {
        if (int.TryParse(change.Value as string, NumberStyles.None, CultureInfo.InvariantCulture, out var altitude)) SetQuery(true, ("altitude", WindBinGrid.MiddleKm(altitude)), ("bin", null));
    }

    private void Choose(PlotClick click) => SetQuery(true, ("bin", WindBinGrid.Of(click.Y, Math.Min(click.X, 23.9), WindBinGrid.MiddleKm(choice!.Altitude))));
}
