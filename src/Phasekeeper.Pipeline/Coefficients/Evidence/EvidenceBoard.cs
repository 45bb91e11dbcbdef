using Phasekeeper.Pipeline.Changes;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>How far the computation of a proposal's evidence is.</summary>
/// <param name="Step">What is being done, words.</param>
/// <param name="Done">Orbits through.</param>
/// <param name="Total">Orbits in all; 0 before that is known.</param>
/// <param name="Failure">Why it came to nothing; null while it runs.</param>
public sealed record EvidenceProgress(string Step, int Done, int Total, string? Failure);

/// <summary>What evidence waits to be computed, and how far it is. Every change is told by the feed (<see cref="ChangeKind.Coefficients"/>, key = the set).</summary>
public sealed class EvidenceBoard(ChangeFeed changes)
{
    private readonly Lock gate = new();
    private readonly Dictionary<long, EvidenceProgress> progress = [];
    private readonly List<long> asked = [];

    /// <summary>How far a set's evidence is; null when none is being computed, and the last computation did not fail.</summary>
    public EvidenceProgress? Of(long setId)
    {
        lock (gate) return progress.GetValueOrDefault(setId);
    }

    /// <summary>Asks for a set's evidence to be computed, again where there is some; asking twice is asking once.</summary>
    public void Ask(long setId)
    {
        lock (gate)
        {
            if (!asked.Contains(setId)) asked.Add(setId);
            progress[setId] = new("waits", 0, 0, null);
        }
        changes.Publish(ChangeKind.Coefficients, setId);
    }
}
