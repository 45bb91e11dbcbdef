using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.WindBudget;

/// <summary>Where the uncertainty of an orbit's winds comes from. Everything chosen stands in the address.</summary>
public sealed partial class BudgetPage(Stores stores) : WindOrbitPage(stores)
{
    private (string? View, string? Line, double AltitudeKm) shown;

    /// <summary>View id.</summary>
    [SupplyParameterFromQuery(Name = "view")]
    public string? ViewText { get; set; }

    /// <summary>Line id.</summary>
    [SupplyParameterFromQuery(Name = "line")]
    public string? LineText { get; set; }

    /// <summary>Height of the plot along the orbit, km.</summary>
    [SupplyParameterFromQuery(Name = "altitude")]
    public string? AltitudeText { get; set; }

    private InstrumentModel Instrument => Mission!.Instrument!;

    private string ViewId => Instrument.Views.FirstOrDefault(v => v.Id == shown.View)?.Id ?? Instrument.Views[0].Id;

    private string LineId => Instrument.Lines.FirstOrDefault(l => l.Id == shown.Line)?.Id ?? Instrument.Lines[0].Id;

    private double Altitude => shown.AltitudeKm;

    /// <inheritdoc/>
    protected override void Take(AddressReader address)
    {
        if (Mission!.Instrument is { } instrument)
            shown = (address.Word("view", ViewText, instrument.Views.Select(v => v.Id), $"View {instrument.Views[0].Id} is shown"), address.Line(LineText, instrument), address.Altitude(AltitudeText));
    }

    private string Url(int orbit, string what) => $"/api/v1/plots/winds/budget/{orbit}/{what}?view={Uri.EscapeDataString(ViewId)}&line={Uri.EscapeDataString(LineId)}";

    private void PickAltitude(ChangeEventArgs change)
    {
        if (double.TryParse(change.Value as string, NumberStyles.Float, CultureInfo.InvariantCulture, out var km)) SetQuery(true, ("altitude", km));
    }
}
