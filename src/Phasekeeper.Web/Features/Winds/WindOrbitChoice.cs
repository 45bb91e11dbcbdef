using System.Globalization;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>An orbit with winds, and its neighbours that have some.</summary>
/// <param name="Number">Orbit number.</param>
/// <param name="Previous">The last one before it; null for none.</param>
/// <param name="Next">The first one after it.</param>
/// <param name="Newest">The newest one.</param>
/// <param name="Old">Whether its winds are still those of a former coefficient set; null when they are not.</param>
/// <param name="Day">UTC day on which it begins; null where it is not stored.</param>
/// <param name="Held">Whether and why people hold its winds.</param>
/// <param name="DecisionWithBoth">The decision of which that day's winds of before are kept beside those of now; null for none.</param>
public sealed record WindOrbitChoice(int Number, int? Previous, int? Next, int? Newest, OldProducts? Old, DateOnly? Day, HoldKind Held, long? DecisionWithBoth)
{
    /// <summary>What is told where an address asks for an orbit that there is not.</summary>
    public const string Instead = "The newest orbit with winds is shown";

    /// <summary>The orbit asked for; the newest when none is, or one without winds. Null without any winds.</summary>
    public static WindOrbitChoice? Read(Stores stores, int? asked, AddressReader address)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(address);
        // With a single view there are winds along the line of sight, but no vectors.
        var newest = stores.WindBins.Newest() ?? stores.Winds.NewestOrbit();
        if (asked is { } wanted && newest is not null && stores.Winds.OrbitsWithWinds(wanted, wanted).Count == 0)
        {
            address.Note("orbit", wanted.ToString(CultureInfo.InvariantCulture), "an orbit that has winds", Instead);
            asked = null;
        }
        if ((asked ?? newest) is not { } number) return null;
        var day = stores.Orbits.Get(number)?.Start.UtcDate;
        return new(number, stores.WindBins.Before(number), stores.WindBins.After(number), newest, OldProducts.Of(stores, [number]), day, stores.Holds.Held(number, number).GetValueOrDefault(number), day is { } date ? OldProducts.DecisionWithBoth(stores, date) : null);
    }
}
