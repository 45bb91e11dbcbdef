using Microsoft.AspNetCore.Components;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;
using Phasekeeper.Web.Shared.Live;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>A page of one orbit's winds: which orbit stands in the address; without one it is the newest that had winds when the page was opened.</summary>
/// <param name="stores">The stores.</param>
public abstract class WindOrbitPage(Stores stores) : LivePage
{
    /// <summary>Orbit; null = the newest with winds.</summary>
    [SupplyParameterFromQuery(Name = "orbit")]
    public string? OrbitText { get; set; }

    private int? asked;

    /// <summary>The orbit shown and its neighbours; null before the first load, and without any winds.</summary>
    protected WindOrbitChoice? Choice { get; private set; }

    /// <inheritdoc/>
    // An orbit that is made again elsewhere changes nothing here; a decision about coefficients may make this one old.
    protected override bool Concerns(Change change) => change.Kind is ChangeKind.Coefficients || (change.Kind is ChangeKind.Winds && (asked is null || change.Key is null || change.Key == asked));

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        asked = address.Orbit(OrbitText, WindOrbitChoice.Instead);
        Take(address);
        // Newer winds do not take the orbit away that a person is looking at; a link leads to them.
        var orbit = asked ?? Choice?.Number;
        return () =>
        {
            var read = WindOrbitChoice.Read(stores, orbit, address);
            return () => Choice = read;
        };
    }

    /// <summary>Takes over what else the address asks for.</summary>
    protected abstract void Take(AddressReader address);

    /// <summary>The same page of another orbit.</summary>
    protected string AddressOf(int orbit) => Navigation.GetUriWithQueryParameter("orbit", orbit);
}
