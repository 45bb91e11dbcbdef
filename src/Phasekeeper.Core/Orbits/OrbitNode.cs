using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>An ascending node and the number of the orbit that starts there. What has to be kept so that numbers never change.</summary>
public readonly record struct OrbitNode(Instant Time, int Orbit);

/// <summary>
/// An orbit's limits: from <paramref name="Start"/> (included) to <paramref name="End"/> (excluded). A limit that is not a node is where the known
/// ephemerides begin or end.
/// </summary>
public readonly record struct OrbitBounds(int Orbit, Instant Start, Instant End, bool StartsAtNode, bool EndsAtNode)
{
    /// <summary>True when both limits are nodes.</summary>
    public bool Complete => StartsAtNode && EndsAtNode;
}
