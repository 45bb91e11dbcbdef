using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>An orbit with winds, and its neighbours that have some.</summary>
/// <param name="Number">Orbit number.</param>
/// <param name="Previous">The last one before it; null for none.</param>
/// <param name="Next">The first one after it.</param>
/// <param name="Newest">The newest one.</param>
public sealed record WindOrbitChoice(int Number, int? Previous, int? Next, int? Newest)
{
    /// <summary>The orbit asked for; the newest when none is. Null without any winds.</summary>
    public static WindOrbitChoice? Read(Stores stores, int? asked)
    {
        ArgumentNullException.ThrowIfNull(stores);
        // With a single view there are winds along the line of sight, but no vectors.
        var newest = stores.WindBins.Newest() ?? stores.Winds.NewestOrbit();
        return (asked ?? newest) is { } number ? new(number, stores.WindBins.Before(number), stores.WindBins.After(number), newest) : null;
    }
}
