using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;

namespace Phasekeeper.Web.Features.WindBudget;

/// <summary>Where the uncertainty of an orbit's winds comes from. Everything chosen stands in the address.</summary>
public sealed partial class BudgetPage(Stores stores)
{
    private WindOrbitChoice? choice;

    /// <summary>Orbit; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public int? Orbit { get; set; }

    /// <summary>View id.</summary>
    [SupplyParameterFromQuery(Name = "view")]
    public string? ViewText { get; set; }

    /// <summary>Line id.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Height of the plot along the orbit, km.</summary>
    [SupplyParameterFromQuery(Name = "altitude")]
    public double? AltitudeText { get; set; }

    private string ViewId => Mission!.Instrument!.Views.FirstOrDefault(v => v.Id == ViewText)?.Id ?? Mission.Instrument.Views[0].Id;

    private string LineId => Mission!.Instrument!.Lines.FirstOrDefault(l => l.Id == LineText)?.Id ?? Mission.Instrument.Lines[0].Id;

    private double Altitude => AltitudeText is { } km && km is >= 0 and <= 1000 ? km : WindQueries.DefaultAltitudeKm;

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds;

    /// <inheritdoc/>
    protected override Func<Action> Loader()
    {
        var orbit = Orbit;
        return () =>
        {
            var read = WindOrbitChoice.Read(stores, orbit);
            return () => choice = read;
        };
    }

    private string Url(string what) => $"/api/v1/plots/winds/budget/{choice!.Number}/{what}?view={Uri.EscapeDataString(ViewId)}&line={Uri.EscapeDataString(LineId)}";

    private void PickAltitude(ChangeEventArgs change)
    {
        if (double.TryParse(change.Value as string, NumberStyles.Float, CultureInfo.InvariantCulture, out var km)) SetQuery(true, ("altitude", km));
    }
}
