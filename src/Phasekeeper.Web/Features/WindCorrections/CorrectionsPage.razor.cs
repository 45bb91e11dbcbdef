using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;

namespace Phasekeeper.Web.Features.WindCorrections;

/// <summary>The winds of an orbit with each correction switched off, so that anyone sees what it does.</summary>
public sealed partial class CorrectionsPage(Stores stores)
{
    private WindOrbitChoice? choice;

    /// <summary>Orbit; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public int? Orbit { get; set; }

    /// <summary>Correction left out.</summary>
    [SupplyParameterFromQuery(Name = "off")]
    public string? OffText { get; set; }

    private CorrectionWords Off => CorrectionWords.Of(OffText);

    /// <inheritdoc/>
    // An orbit that is made again elsewhere changes nothing here.
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Winds && (Orbit is null || change.Key is null || change.Key == Orbit);

    /// <inheritdoc/>
    protected override Func<Action> Loader()
    {
        var orbit = Orbit ?? choice?.Number;
        return () =>
        {
            var read = WindOrbitChoice.Read(stores, orbit);
            return () => choice = read;
        };
    }
}
