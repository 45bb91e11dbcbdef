using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>
/// Numbers the orbits (contract.md section 2, Frames). Orbits start at ascending nodes. With mean elements, the orbit that holds the epoch of the earliest set has
/// that set's revolution number; with an orbit file, the first node inside the first file starts orbit 1 and the stretch before it is orbit 0 (a first file
/// without any node is all orbit 0, and stays it); the revolution offset is added. Once given, a node keeps its number: keep <see cref="Nodes"/>, start from them with <see cref="FromNodes"/>, then
/// <see cref="Extend"/> by every ephemeris known. Immutable.
/// </summary>
public sealed class OrbitNumbering
{
    private readonly OrbitNode[] _nodes;
    private readonly OrbitBounds[] _orbits;

    private OrbitNumbering(OrbitNode[] nodes, IReadOnlyList<TimeStretch> coverage, int revolutionOffset)
    {
        (_nodes, Coverage, RevolutionOffset) = (nodes, coverage, revolutionOffset);
        _orbits = Bounds(nodes, coverage, revolutionOffset);
    }

    /// <summary>No orbit yet.</summary>
    public static OrbitNumbering Empty(int revolutionOffset) => new([], [], revolutionOffset);

    /// <summary>The numbering that was kept: nodes in any order, times and numbers rising together.</summary>
    public static OrbitNumbering FromNodes(IEnumerable<OrbitNode> nodes, int revolutionOffset)
    {
        var sorted = nodes.OrderBy(n => n.Time).ToArray();
        for (var i = 1; i < sorted.Length; i++)
            if (sorted[i].Time == sorted[i - 1].Time || sorted[i].Orbit <= sorted[i - 1].Orbit)
                throw new ArgumentException($"Found orbit {sorted[i].Orbit} at {sorted[i].Time} after orbit {sorted[i - 1].Orbit} at {sorted[i - 1].Time}; expected times and numbers that rise together.", nameof(nodes));
        return new(sorted, [], revolutionOffset);
    }

    /// <summary>All known nodes, in order.</summary>
    public IReadOnlyList<OrbitNode> Nodes => _nodes;

    /// <summary>What the ephemerides seen so far cover.</summary>
    public IReadOnlyList<TimeStretch> Coverage { get; }

    /// <summary>Added to every number.</summary>
    public int RevolutionOffset { get; }

    /// <summary>
    /// Adds what an ephemeris knows. A node within a third of a period of a known one is the same node and keeps its number; its time is taken over only when
    /// <paramref name="refineTimes"/> says that this ephemeris is the better one. Nodes beyond a gap are numbered by the period across it.
    /// </summary>
    public OrbitNumbering Extend(IEphemeris ephemeris, bool refineTimes = false) => Extend([EphemerisOutline.Of(ephemeris)], refineTimes);

    /// <summary>As <see cref="Extend(IEphemeris, bool)"/>, by one ephemeris after the other.</summary>
    public OrbitNumbering Extend(IEnumerable<EphemerisOutline> ephemerides, bool refineTimes = false)
    {
        ArgumentNullException.ThrowIfNull(ephemerides);
        var (nodes, coverage) = (new List<OrbitNode>(_nodes), Coverage);
        foreach (var ephemeris in ephemerides)
        {
            var found = ephemeris.Nodes;
            if (found.Count > 0)
            {
                if (nodes.Count == 0) nodes.Add(First(ephemeris, coverage));
                // Outwards from what is known, so that each step counts few periods.
                var start = nodes[0].Time;
                foreach (var time in found.Where(t => t >= start)) Add(nodes, time, ephemeris.PeriodS, refineTimes);
                foreach (var time in found.Where(t => t < start).Reverse()) Add(nodes, time, ephemeris.PeriodS, refineTimes);
            }
            coverage = TimeStretch.Union(coverage.Concat(ephemeris.Coverage));
        }
        return new([.. nodes], coverage, RevolutionOffset);
    }

    /// <summary>The orbit that holds a moment; false where no ephemeris covers it and its neighbours do not settle it.</summary>
    public bool TryOrbitOf(Instant time, out int orbit)
    {
        int low = 0, high = _orbits.Length;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (_orbits[middle].Start <= time) low = middle + 1;
            else high = middle;
        }
        orbit = low > 0 ? _orbits[low - 1].Orbit : 0;
        // The last state of a file belongs to the orbit that ends with it.
        return low > 0 && (time < _orbits[low - 1].End || (time == _orbits[low - 1].End && !_orbits[low - 1].EndsAtNode));
    }

    /// <summary>The limits of an orbit; false when it is not known.</summary>
    public bool TryBoundsOf(int orbit, out OrbitBounds bounds)
    {
        int low = 0, high = _orbits.Length - 1;
        while (low <= high)
        {
            var middle = (low + high) / 2;
            bounds = _orbits[middle];
            if (bounds.Orbit == orbit) return true;
            if (bounds.Orbit < orbit) low = middle + 1;
            else high = middle - 1;
        }
        bounds = default;
        return false;
    }

    /// <summary>The orbits that overlap a stretch (start included, end excluded), in order.</summary>
    public IReadOnlyList<OrbitBounds> OrbitsIn(Instant from, Instant to)
    {
        int low = 0, high = _orbits.Length;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (_orbits[middle].End <= from) low = middle + 1;
            else high = middle;
        }
        return [.. _orbits.Skip(low).TakeWhile(o => o.Start < to)];
    }

    /// <summary>Limits of every orbit of which something is known, in order.</summary>
    private static OrbitBounds[] Bounds(OrbitNode[] nodes, IReadOnlyList<TimeStretch> coverage, int revolutionOffset)
    {
        if (nodes.Length == 0) return coverage.Count == 0 ? [] : [new(revolutionOffset, coverage[0].Start, coverage[^1].End, false, false)];
        var pieces = new List<OrbitBounds>();
        for (var i = 0; i + 1 < nodes.Length; i++)
            if (nodes[i + 1].Orbit == nodes[i].Orbit + 1) pieces.Add(new(nodes[i].Orbit, nodes[i].Time, nodes[i + 1].Time, true, true));
        foreach (var stretch in coverage)
        {
            var (first, last) = (LastAtOrBefore(nodes, stretch.Start), LastAtOrBefore(nodes, stretch.End));
            var holdsNode = last >= 0 && nodes[last].Time >= stretch.Start;
            if (!holdsNode)
            {
                if (!Settled(nodes, last) && OrbitBetween(nodes, last, stretch) is { } orbit) pieces.Add(new(orbit, stretch.Start, stretch.End, false, false));
                continue;
            }
            var next = first >= 0 && nodes[first].Time == stretch.Start ? first : first + 1;
            if (nodes[next].Time > stretch.Start && !Settled(nodes, next - 1)) pieces.Add(new(nodes[next].Orbit - 1, stretch.Start, nodes[next].Time, false, true));
            if (!Settled(nodes, last)) pieces.Add(new(nodes[last].Orbit, nodes[last].Time, stretch.End, true, false));
        }
        return [.. pieces.Where(p => p.End > p.Start).GroupBy(p => p.Orbit).OrderBy(g => g.Key)
            .Select(g => new OrbitBounds(g.Key, g.Min(p => p.Start), g.Max(p => p.End), g.Any(p => p.StartsAtNode), g.Any(p => p.EndsAtNode)))];
    }

    /// <summary>True when the orbit that starts at a node also ends at the next known one.</summary>
    private static bool Settled(OrbitNode[] nodes, int index) => index >= 0 && index + 1 < nodes.Length && nodes[index + 1].Orbit == nodes[index].Orbit + 1;

    /// <summary>The orbit of a stretch without a node in a gap between known ones, by the period that these have; null while only one is known.</summary>
    private static int? OrbitBetween(OrbitNode[] nodes, int before, TimeStretch stretch)
    {
        if (nodes.Length < 2) return null;
        var period = (nodes[^1].Time - nodes[0].Time) / (nodes[^1].Orbit - nodes[0].Orbit);
        var middle = stretch.Start.AddSeconds((stretch.End - stretch.Start) / 2);
        var orbit = before >= 0 ? nodes[before].Orbit + (int)Math.Floor((middle - nodes[before].Time) / period)
            : nodes[0].Orbit - 1 - (int)Math.Floor((nodes[0].Time - middle) / period);
        return before + 1 < nodes.Length ? Math.Min(orbit, nodes[before + 1].Orbit - 1) : orbit;
    }

    private OrbitNode First(EphemerisOutline ephemeris, IReadOnlyList<TimeStretch> coverage)
    {
        var found = ephemeris.Nodes;
        // Earlier files without a node: what they cover is orbit 0, whichever nodes come to be known around it.
        if (coverage.Count > 0)
        {
            var after = found.Where(t => t > coverage[0].Start).Take(1).ToArray();
            return after is [var next] ? new(next, 1 + RevolutionOffset) : new(found[^1], RevolutionOffset);
        }
        if (ephemeris is not { FirstEpoch: { } epoch, RevolutionAtFirstEpoch: { } revolution }) return new(found[0], 1 + RevolutionOffset);
        var before = -1;
        while (before + 1 < found.Count && found[before + 1] <= epoch) before++;
        // Without a node before the epoch, the first one after it ends the epoch's orbit.
        return before >= 0 ? new(found[before], revolution + RevolutionOffset) : new(found[0], revolution + 1 + RevolutionOffset);
    }

    private static void Add(List<OrbitNode> nodes, Instant time, double periodSeconds, bool refine)
    {
        var i = LastAtOrBefore(nodes, time);
        var near = i < 0 ? 0 : i + 1 < nodes.Count && nodes[i + 1].Time - time < time - nodes[i].Time ? i + 1 : i;
        var distance = time - nodes[near].Time;
        if (Math.Abs(distance) < periodSeconds / 3)
        {
            if (refine) nodes[near] = nodes[near] with { Time = time };
            return;
        }
        var steps = (int)Math.Round(distance / periodSeconds);
        var orbit = nodes[near].Orbit + (steps != 0 ? steps : Math.Sign(distance));
        // A number between its neighbours', or none: a node that fits nowhere belongs to an ephemeris that contradicts the numbering given before.
        if ((i < 0 || orbit > nodes[i].Orbit) && (i + 1 >= nodes.Count || orbit < nodes[i + 1].Orbit)) nodes.Insert(i + 1, new(time, orbit));
    }

    private static int LastAtOrBefore(IReadOnlyList<OrbitNode> nodes, Instant time)
    {
        int low = 0, high = nodes.Count;
        while (low < high)
        {
            var middle = (low + high) / 2;
            if (nodes[middle].Time <= time) low = middle + 1;
            else high = middle;
        }
        return low - 1;
    }
}
