using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.WindMeans;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;
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

    /// <summary>UTC day; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "date")]
    public string? DateText { get; set; }

    /// <summary>One orbit alone.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public int? Orbit { get; set; }

    /// <summary>Line id.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Component.</summary>
    [SupplyParameterFromQuery(Name = "component")]
    public string? ComponentText { get; set; }

    /// <summary>Height, km.</summary>
    [SupplyParameterFromQuery(Name = "altitude")]
    public double? AltitudeText { get; set; }

    /// <summary>What it is compared with.</summary>
    [SupplyParameterFromQuery(Name = "base")]
    public string? BaseText { get; set; }

    /// <summary>Doubtful winds count too.</summary>
    [SupplyParameterFromQuery(Name = "doubtful")]
    public string? DoubtfulText { get; set; }

    /// <summary>Bin whose days are shown.</summary>
    [SupplyParameterFromQuery(Name = "bin")]
    public int? Bin { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds;

    /// <inheritdoc/>
    protected override Func<Action> Loader()
    {
        var mission = Mission!;
        DateOnly? date = DateOnly.TryParseExact(DateText, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var asked) ? asked : null;
        var (orbit, line, component, altitude, word, doubtful) = (Orbit, LineText, ComponentText, AltitudeText, BaseText, DoubtfulText);
        return () =>
        {
            var read = mission.Instrument is null ? null : winds.Read(mission, date);
            var wanted = read is null ? null : new CompareChoice(read.Date, read.Orbits.Any(o => o.Slot.Number == orbit) ? orbit : null,
                mission.Instrument!.Lines.FirstOrDefault(l => l.Id == line)?.Id ?? mission.Instrument.Lines[0].Id, component == "northward" ? WindComponent.Northward : WindComponent.Eastward,
                Math.Max(0, WindBinGrid.AltitudeOf(altitude ?? WindQueries.DefaultAltitudeKm)), CompareBase.Of(word), doubtful == "yes");
            var heights = wanted is null ? [] : queries.Altitudes(mission, wanted);
            // Without a wish, the height with the most winds.
            if (wanted is not null && altitude is null && heights.Count > 0) wanted = wanted with { Altitude = heights.MaxBy(h => h.Count).Altitude };
            return () => (day, choice, altitudes) = (read, wanted, [.. heights.Select(h => h.Altitude)]);
        };
    }

    private string Url(string what) => string.Create(CultureInfo.InvariantCulture,
        $"/api/v1/plots/winds/compare/{what}?date={choice!.Date:yyyy-MM-dd}&line={Uri.EscapeDataString(choice.Line)}&component={ComparePlots.Word(choice.Component)}&altitude={WindBinGrid.MiddleKm(choice.Altitude)}&base={choice.Base.Word}&doubtful={(choice.WithDoubtful ? "yes" : "no")}")
        + (choice.Orbit is { } orbit ? string.Create(CultureInfo.InvariantCulture, $"&orbit={orbit}") : "");

    private string DayAddress(DateOnly date) => Navigation.GetUriWithQueryParameters(new Dictionary<string, object?> { ["date"] = date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), ["orbit"] = null });

    private void PickDay(ChangeEventArgs change)
    {
        if (DateOnly.TryParseExact(change.Value as string, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date)) Navigation.NavigateTo(DayAddress(date));
    }

    private void PickAltitude(ChangeEventArgs change)
    {
        if (int.TryParse(change.Value as string, NumberStyles.None, CultureInfo.InvariantCulture, out var altitude)) SetQuery(true, ("altitude", WindBinGrid.MiddleKm(altitude)), ("bin", null));
    }

    private void Choose(PlotClick click) => SetQuery(true, ("bin", WindBinGrid.Of(click.Y, Math.Min(click.X, 23.9), WindBinGrid.MiddleKm(choice!.Altitude))));
}
