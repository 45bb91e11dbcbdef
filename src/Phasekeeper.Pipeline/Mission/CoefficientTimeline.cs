using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>A coefficient set in force from a moment on.</summary>
/// <param name="From">Ascending node from which it counts; the first set of a mission from <see cref="Instant.MinValue"/>.</param>
/// <param name="SetId">Its id in the store.</param>
/// <param name="Set">The numbers.</param>
/// <param name="Hash">SHA-256 of its stored text.</param>
public sealed record CoefficientsInForce(Instant From, long SetId, CoefficientSet Set, byte[] Hash);

/// <summary>Which coefficient set is in force when: ascending in time, without gaps. Empty for a mission of housekeeping only.</summary>
public sealed class CoefficientTimeline(IReadOnlyList<CoefficientsInForce> entries)
{
    /// <summary>The entries, ascending.</summary>
    public IReadOnlyList<CoefficientsInForce> Entries { get; } = entries;

    /// <summary>The set in force at a moment; null when there is none.</summary>
    public CoefficientsInForce? At(Instant time)
    {
        CoefficientsInForce? found = null;
        foreach (var entry in Entries)
            if (entry.From <= time) found = entry;
            else break;
        return found;
    }
}
