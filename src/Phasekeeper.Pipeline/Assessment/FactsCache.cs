using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Facts of the orbits that rules looked at last: an orbit is asked for by several rules, and again with every orbit that follows it.</summary>
public sealed class FactsCache
{
    // Chosen: more than the orbits within reach of the default rules on either side of a changed one.
    private const int Remembered = 256;
    private readonly Dictionary<int, (string Detail, OrbitFacts Facts)> known = [];
    private readonly Queue<int> order = new();

    /// <summary>The facts of an orbit as its row tells them.</summary>
    public OrbitFacts Of(OrbitRow row)
    {
        if (known.TryGetValue(row.Orbit, out var found))
        {
            if (found.Detail == row.Detail) return found.Facts;
        }
        else
        {
            if (order.Count == Remembered) known.Remove(order.Dequeue());
            order.Enqueue(row.Orbit);
        }
        var facts = OrbitFacts.Of(row);
        known[row.Orbit] = (row.Detail, facts);
        return facts;
    }
}
