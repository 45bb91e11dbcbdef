using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.WindBudget;

/// <summary>Where the uncertainty of an orbit's winds comes from. Everything chosen stands in the address.</summary>
public sealed partial class BudgetPage(Stores stores)
{
    private WindOrbitChoice? choice;
    private (string? View, string? Line, double AltitudeKm) shown;

    /// <summary>Orbit; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public string? OrbitText { get; set; }

    /// <summary>View id.</summary>
    [SupplyParameterFromQuery(Name = "view")]
    public string? ViewText { get; set; }

    /// <summary>Line id.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Height of the plot along the orbit, km.</summary>
    [SupplyParameterFromQuery(Name = "altitude")]
    public string? AltitudeText { get; set; }

    private string ViewId => Mission!.Instrument!.Views.FirstOrDefault(v => v.Id == shown.View)?.Id ?? Mission.Instrument.Views[0].Id;

    private string LineId => Mission!.Instrument!.Lines.FirstOrDefault(l => l.Id == shown.Line)?.Id ?? Mission.Instrument.Lines[0].Id;

    private double Altitude => shown.AltitudeKm;

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (orbit, instrument) = (address.Orbit(OrbitText, WindOrbitChoice.Instead), Mission!.Instrument);
        if (instrument is not null)
            shown = (address.Word("view", ViewText, instrument.Views.Select(v => v.Id), $"View {instrument.Views[0].Id} is shown"), address.Line(LineText, instrument), address.Altitude(AltitudeText));
        return () =>
        {
            var read = WindOrbitChoice.Read(stores, orbit, address);
            return () => choice = read;
        };
    }

    private string Url(string what) => $"/api/v1/plots/winds/budget/{choice!.Number}/{what}?view={Uri.EscapeDataString(ViewId)}&line={Uri.EscapeDataString(LineId)}";

    private void PickAltitude(ChangeEventArgs change)
    {
        if (double.TryParse(change.Value as string, NumberStyles.Float, CultureInfo.InvariantCulture, out var km)) SetQuery(true, ("altitude", km));
    }
}
