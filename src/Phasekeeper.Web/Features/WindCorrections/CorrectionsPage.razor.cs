using Microsoft.AspNetCore.Components;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.WindCorrections;

/// <summary>The winds of an orbit with each correction switched off, so that anyone sees what it does.</summary>
public sealed partial class CorrectionsPage(Stores stores) : WindOrbitPage(stores)
{
    private string? off;

    /// <summary>Correction left out.</summary>
    [SupplyParameterFromQuery(Name = "off")]
    public string? OffText { get; set; }

    private CorrectionWords Off => CorrectionWords.Of(off);

    /// <inheritdoc/>
    protected override void Take(AddressReader address) =>
        off = address.Word("off", OffText, CorrectionWords.All.Select(w => w.Word), $"The winds without {CorrectionWords.Of(null).Title} are shown");
}
