using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients;

/// <summary>A stretch in which one set is in force.</summary>
/// <param name="From">Start; <see cref="Instant.MinValue"/> for the first set.</param>
/// <param name="To">End (exclusive); <see cref="Instant.MaxValue"/> where it goes on.</param>
/// <param name="SetId">The set.</param>
/// <param name="Decision">The decision behind it; 0 for a stretch that has not got what was decided yet.</param>
public readonly record struct DecidedStretch(Instant From, Instant To, long SetId, long Decision);

/// <summary>
/// Which set decisions put in force when. Decisions count in the order in which they were taken. Each puts its set in force from its start on: until the next entry that is there begins, or, when it says so, over
/// all later entries. An entry with the same start is replaced.
/// </summary>
public static class DecidedTimeline
{
    /// <summary>The time line, ascending and without gaps; empty before the first decision.</summary>
    public static IReadOnlyList<DecidedStretch> Of(IEnumerable<CoefficientDecisionRow> decisions, OrbitCalendar calendar)
    {
        ArgumentNullException.ThrowIfNull(decisions);
        var entries = new SortedList<Instant, (long Set, long Decision)>();
        foreach (var decision in decisions)
        {
            if (Start(decision, calendar) is not { } from) continue;
            if (decision.OverLater)
                foreach (var later in entries.Keys.Where(k => k > from).ToArray()) entries.Remove(later);
            entries[from] = (decision.SetId, decision.Id);
        }
        return [.. entries.Select((e, i) => new DecidedStretch(e.Key, i + 1 < entries.Count ? entries.GetKeyAtIndex(i + 1) : Instant.MaxValue, e.Value.Set, e.Value.Decision))];
    }

    /// <summary>From when a decision counts; null for one that puts nothing in force.</summary>
    public static Instant? Start(CoefficientDecisionRow decision, OrbitCalendar calendar)
    {
        ArgumentNullException.ThrowIfNull(decision);
        ArgumentNullException.ThrowIfNull(calendar);
        if (decision.FromTime is not { } from) return null;
        // Decided beyond every orbit file: the first node there counts as soon as one is known.
        return decision.FromOrbit is null && from > Instant.MinValue ? calendar.FirstNode(from)?.Start ?? from : from;
    }

    /// <summary>The stretch that holds a moment; null before the first decision.</summary>
    public static DecidedStretch? At(this IReadOnlyList<DecidedStretch> timeline, Instant time)
    {
        ArgumentNullException.ThrowIfNull(timeline);
        foreach (var stretch in timeline)
            if (time >= stretch.From && time < stretch.To) return stretch;
        return null;
    }

    /// <summary>The time line as products have it: <paramref name="waiting"/> stretches still have the set that is named there.</summary>
    public static IReadOnlyList<DecidedStretch> WithWaiting(IReadOnlyList<DecidedStretch> timeline, IEnumerable<(OrbitSlot Orbit, long SetId)> waiting)
    {
        var pieces = timeline.ToList();
        foreach (var former in Joined(waiting))
        {
            var cut = new List<DecidedStretch>();
            foreach (var piece in pieces)
            {
                if (piece.To <= former.From || piece.From >= former.To)
                {
                    cut.Add(piece);
                    continue;
                }
                if (piece.From < former.From) cut.Add(piece with { To = former.From });
                if (piece.To > former.To) cut.Add(piece with { From = former.To });
            }
            cut.Add(former);
            pieces = [.. cut.OrderBy(p => p.From)];
        }
        return Merged(pieces);
    }

    // Orbit after orbit with the same set is one stretch.
    private static List<DecidedStretch> Joined(IEnumerable<(OrbitSlot Orbit, long SetId)> waiting)
    {
        var joined = new List<DecidedStretch>();
        foreach (var (orbit, set) in waiting.OrderBy(w => w.Orbit.Start))
            if (joined.Count > 0 && joined[^1].SetId == set && joined[^1].To == orbit.Start) joined[^1] = joined[^1] with { To = orbit.End };
            else joined.Add(new(orbit.Start, orbit.End, set, 0));
        return joined;
    }

    // A stretch that waits goes on with what lies before it: charts do not begin anew in its middle. Two decisions stay two entries, also of the same set.
    private static List<DecidedStretch> Merged(List<DecidedStretch> pieces)
    {
        var merged = new List<DecidedStretch>();
        foreach (var piece in pieces)
            if (merged.Count > 0 && merged[^1] is var last && last.SetId == piece.SetId && (last.Decision == piece.Decision || last.Decision == 0 || piece.Decision == 0))
                merged[^1] = last with { To = piece.To, Decision = Math.Max(last.Decision, piece.Decision) };
            else merged.Add(piece);
        return merged;
    }
}
