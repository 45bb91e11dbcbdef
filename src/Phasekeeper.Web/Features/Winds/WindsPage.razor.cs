using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Pipeline.Exports;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Live;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>The winds of a day: all orbits at a glance, a map, and any place with its profile and looks. Everything chosen stands in the address.</summary>
public sealed partial class WindsPage(Stores stores, WindCache cache)
{
    // A day: where there is no orbit file, orbits are days.
    private const double LongestMinutes = 1440;
    private readonly WindQueries queries = new(stores, cache);
    private WindDayView? day;
    private ChosenWind? chosen;
    private (string? Show, string? Line, string Component, double AltitudeKm) shown = (null, null, "eastward", WindQueries.DefaultAltitudeKm);

    /// <summary>UTC day, yyyy-MM-dd; null = the newest with winds, or that of the chosen orbit.</summary>
    [SupplyParameterFromQuery(Name = "date")]
    public string? DateText { get; set; }

    /// <summary>What the panels' colours show: wind or sigma.</summary>
    [SupplyParameterFromQuery(Name = "show")]
    public string? ShowText { get; set; }

    /// <summary>Chosen orbit; null = all.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public string? OrbitText { get; set; }

    /// <summary>Chosen moment, minutes since the orbit's start.</summary>
    [SupplyParameterFromQuery(Name = "minute")]
    public string? MinuteText { get; set; }

    /// <summary>Line of the map.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Component of the map.</summary>
    [SupplyParameterFromQuery(Name = "component")]
    public string? ComponentText { get; set; }

    /// <summary>Height of the map and of the chosen place, km.</summary>
    [SupplyParameterFromQuery(Name = "altitude")]
    public string? AltitudeText { get; set; }

    // The files are cut at midnight, the page at orbits: its vectors may lie in two files.
    private IEnumerable<DateOnly> FileDates => day!.Orbits.SelectMany(o => o.Vectors).Select(v => v.Time.UtcDate).Distinct().Order();

    private string Layer => shown.Show ?? "wind";

    private string Component => shown.Component;

    private double Altitude => shown.AltitudeKm;

    private int? Chosen => chosen?.Orbit.Slot.Number;

    private string MapLine => Mission?.Instrument?.Lines is { } lines ? lines.FirstOrDefault(l => l.Id == shown.Line)?.Id ?? lines[0].Id : "";

    private string DateWord => day!.Date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private string MapUrl => string.Create(CultureInfo.InvariantCulture, $"/api/v1/plots/winds/map?date={DateWord}&line={Uri.EscapeDataString(MapLine)}&component={Component}&altitude={Altitude}")
        + (Chosen is { } orbit ? string.Create(CultureInfo.InvariantCulture, $"&orbit={orbit}") : "");

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds or ChangeKind.Auxiliary or ChangeKind.Coefficients;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        const string allOrbits = "All orbits of the day are shown";
        var mission = Mission!;
        shown = (address.Word("show", ShowText, ["wind", "sigma"], "The colours show the wind"), mission.Instrument is { } instrument ? address.Line(LineText, instrument) : null,
            address.Component(ComponentText), address.Altitude(AltitudeText));
        var (orbit, line, altitude) = (address.Orbit(OrbitText, allOrbits), shown.Line, shown.AltitudeKm);
        var minute = address.Number("minute", MinuteText, 0, LongestMinutes, "min", "The minute is chosen by the page");
        DateOnly? date = address.Day("date", DateText, WindDay.Covers, "The newest day with winds is shown, or that of the chosen orbit") is { } asked ? asked
            : orbit is { } number && !mission.Orbits.CountsDays && mission.Orbits.Of(number) is { } slot ? slot.Start.UtcDate : null;
        return () =>
        {
            var read = queries.Read(mission, date);
            var place = orbit is { } n ? queries.Choose(mission, n, minute, line, altitude) : null;
            if (orbit is not null && place is null && read is not null) address.Note("orbit", OrbitText!, "an orbit that has wind vectors", allOrbits);
            return () => (day, chosen) = (read, place);
        };
    }

    private string Share(WindQuality quality) => day!.Counts.Values.Sum() is > 0 and var all
        ? string.Create(CultureInfo.InvariantCulture, $"{100.0 * day.Counts.GetValueOrDefault(quality) / all:0} %") : "–";

    private string OrbitUrl(string show) => string.Create(CultureInfo.InvariantCulture, $"/api/v1/plots/winds/orbit/{chosen!.Orbit.Slot.Number}?show={show}&minute={chosen.Minute:0.##}");

    // Another day has other orbits; lines, heights and colours stay.
    private string DayAddress(DateOnly date) => Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { ["date"] = date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), ["orbit"] = null, ["minute"] = null });

    private string Address(string name, string? value) => Navigation.GetUriWithQueryParameter(name, value);

    private void PickDay(ChangeEventArgs change)
    {
        if (DateOnly.TryParseExact(change.Value as string, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) && WindDay.Covers(date)) Navigation.NavigateTo(DayAddress(date));
    }

    private void PickAltitude(ChangeEventArgs change)
    {
        if (double.TryParse(change.Value as string, NumberStyles.Float, CultureInfo.InvariantCulture, out var km)) SetQuery(true, ("altitude", km));
    }

    // A panel's trace is called "orbit|line".
    private void Choose(PlotClick click)
    {
        if (click.Trace.Split('|') is [var orbit, var line] && int.TryParse(orbit, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            SetQuery(false, ("date", DateWord), ("orbit", number), ("line", line), ("minute", Math.Round(click.X, 2)), ("altitude", Math.Round(click.Y)));
    }

    private void ChooseOnMap(PlotClick click)
    {
        var shown = day!.Orbits.Where(o => Chosen is null || o.Slot.Number == Chosen).SelectMany(o => (o.Grids.GetValueOrDefault(MapLine)?.Vectors ?? []).Select(v => (o, v)));
        var near = shown.MinBy(p => Math.Pow(Math.IEEERemainder(p.v.LongitudeRad * (180 / Math.PI) - click.X, 360), 2) + Math.Pow(p.v.LatitudeRad * (180 / Math.PI) - click.Y, 2) + Math.Pow((p.v.AltitudeKm - Altitude) / 100, 2));
        if (near.o is not null) SetQuery(false, ("date", DateWord), ("orbit", near.o.Slot.Number), ("minute", Math.Round(near.o.MinuteOf(near.v.Time), 2)));
    }
}
