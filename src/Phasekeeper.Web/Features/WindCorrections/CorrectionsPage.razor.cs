using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.WindCorrections;

/// <summary>The winds of an orbit with each correction switched off, so that anyone sees what it does.</summary>
public sealed partial class CorrectionsPage(Stores stores)
{
    private WindOrbitChoice? choice;
    private int? asked;
    private string? off;

    /// <summary>Orbit; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public string? OrbitText { get; set; }

    /// <summary>Correction left out.</summary>
    [SupplyParameterFromQuery(Name = "off")]
    public string? OffText { get; set; }

    private CorrectionWords Off => CorrectionWords.Of(off);

    /// <inheritdoc/>
    // An orbit that is made again elsewhere changes nothing here.
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds && (asked is null || change.Key is null || change.Key == asked);

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        asked = address.Orbit(OrbitText, WindOrbitChoice.Instead);
        off = address.Word("off", OffText, CorrectionWords.All.Select(w => w.Word), $"The winds without {CorrectionWords.Of(null).Title} are shown");
        var orbit = asked ?? choice?.Number;
        return () =>
        {
            var read = WindOrbitChoice.Read(stores, orbit, address);
            return () => choice = read;
        };
    }
}
