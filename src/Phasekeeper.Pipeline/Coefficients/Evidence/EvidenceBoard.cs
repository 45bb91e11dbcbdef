using Phasekeeper.Pipeline.Changes;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>How far the computation of a proposal's evidence is.</summary>
/// <param name="Step">What is being done, words.</param>
/// <param name="Done">Orbits through.</param>
/// <param name="Total">Orbits in all; 0 before that is known.</param>
/// <param name="Failure">Why it came to nothing; null while it waits or runs.</param>
public sealed record EvidenceProgress(string Step, int Done, int Total, string? Failure);

/// <summary>Where a set is to be taken to begin when its evidence is computed.</summary>
/// <param name="Orbit">The orbit that a person chose; null: the set's own validity.</param>
public sealed record EvidenceStart(int? Orbit);

/// <summary>
/// What evidence waits to be computed, and how far it is: the one place where pages and API look, and from which <see cref="EvidenceWorker"/> takes. The feed tells every step as <see cref="ChangeKind.Evidence"/>,
/// begin and end as <see cref="ChangeKind.Coefficients"/> too (key = the set). It lives as long as the program: a start finds by itself what is missing.
/// </summary>
public sealed class EvidenceBoard(ChangeFeed changes)
{
    private readonly Lock gate = new();
    private readonly Dictionary<long, EvidenceProgress> progress = [];
    private readonly List<(long SetId, EvidenceStart? Start)> asked = [];

    /// <summary>Called when something is asked for.</summary>
    internal event Action? Asked;

    /// <summary>How far a set's evidence is; null when none is being computed, and the last computation did not fail.</summary>
    public EvidenceProgress? Of(long setId)
    {
        lock (gate) return progress.GetValueOrDefault(setId);
    }

    /// <summary>Asks for a set's evidence to be computed, again where there is some; asking twice is asking once. <paramref name="start"/>: from where on; null: from where the newest evidence has it.</summary>
    public void Ask(long setId, EvidenceStart? start = null)
    {
        lock (gate)
        {
            var at = asked.FindIndex(a => a.SetId == setId);
            if (at < 0) asked.Add((setId, start));
            else if (start is not null) asked[at] = (setId, start);
            progress[setId] = new("waits", 0, 0, null);
        }
        Publish(setId);
        changes.Publish(ChangeKind.Coefficients, setId);
        Asked?.Invoke();
    }

    /// <summary>What was asked for first; null for nothing.</summary>
    internal (long SetId, EvidenceStart? Start)? Take()
    {
        lock (gate)
        {
            if (asked.Count == 0) return null;
            var first = asked[0];
            asked.RemoveAt(0);
            return first;
        }
    }

    /// <summary>Puts back first what was taken and could not be begun; what was asked for again meanwhile counts instead.</summary>
    internal void PutBack(long setId, EvidenceStart? start)
    {
        lock (gate)
            if (!asked.Exists(a => a.SetId == setId)) asked.Insert(0, (setId, start));
    }

    /// <summary>Notes a step.</summary>
    internal void Report(long setId, string step, int done, int total) => Set(setId, new(step, done, total, null));

    /// <summary>Notes the end: evidence is there, or not wanted any more.</summary>
    internal void Finish(long setId) => Set(setId, null);

    /// <summary>Notes that it came to nothing.</summary>
    internal void Fail(long setId, string why)
    {
        Set(setId, new("failed", 0, 0, why));
        changes.Publish(ChangeKind.Coefficients, setId);
    }

    private void Set(long setId, EvidenceProgress? now)
    {
        lock (gate)
        {
            // Asked for again meanwhile: that waits, whatever becomes of this one.
            if (asked.Exists(a => a.SetId == setId)) return;
            if (now is null) progress.Remove(setId);
            else progress[setId] = now;
        }
        Publish(setId);
    }

    private void Publish(long setId) => changes.Publish(ChangeKind.Evidence, setId);
}
