using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>
/// Numbers the orbits (contract.md section 2, Frames). Orbits start at ascending nodes. With mean elements, the orbit that holds the epoch of the earliest set has
/// that set's revolution number; with an orbit file, the first node inside the first file starts orbit 1 and the stretch before it is orbit 0; the
/// revolution offset is added. Once given, a node keeps its number: keep <see cref="Nodes"/>, start from them with <see cref="FromNodes"/>, then
/// <see cref="Extend"/> by every ephemeris known. Immutable.
/// </summary>
public sealed class OrbitNumbering
{
    /// <summary>GM of the Earth, m³/s² (WGS 84, NIMA TR8350.2), for a period where fewer than three nodes are known.</summary>
    private const double Mu = 3.986004418e14;

    private readonly OrbitNode[] _nodes;

    private OrbitNumbering(OrbitNode[] nodes, IReadOnlyList<TimeStretch> coverage, int revolutionOffset)
    {
        (_nodes, Coverage, RevolutionOffset) = (nodes, coverage, revolutionOffset);
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
    public OrbitNumbering Extend(IEphemeris ephemeris, bool refineTimes = false)
    {
        var coverage = TimeStretch.Union(Coverage.Concat(ephemeris.Coverage));
        var found = NodeFinder.AscendingNodes(ephemeris, ephemeris.Start, ephemeris.End);
        if (found.Count == 0) return new(_nodes, coverage, RevolutionOffset);
        var period = Period(ephemeris, found);
        var nodes = new List<OrbitNode>(_nodes);
        if (nodes.Count == 0) nodes.Add(First(ephemeris, found));
        // Outwards from what is known, so that each step counts few periods.
        var start = nodes[0].Time;
        foreach (var time in found.Where(t => t >= start)) Add(nodes, time, period, refineTimes);
        foreach (var time in found.Where(t => t < start).Reverse()) Add(nodes, time, period, refineTimes);
        return new([.. nodes], coverage, RevolutionOffset);
    }

    /// <summary>The orbit that holds a moment; false where no ephemeris covers it and its neighbours do not settle it.</summary>
    public bool TryOrbitOf(Instant time, out int orbit)
    {
        orbit = 0;
        var i = LastAtOrBefore(_nodes, time);
        if (i >= 0 && i + 1 < _nodes.Length && _nodes[i + 1].Orbit == _nodes[i].Orbit + 1)
        {
            orbit = _nodes[i].Orbit;
            return true;
        }
        if (StretchOf(time) is not { } stretch) return false;
        if (i >= 0 && _nodes[i].Time >= stretch.Start) orbit = _nodes[i].Orbit;
        else if (i + 1 < _nodes.Length && _nodes[i + 1].Time <= stretch.End) orbit = _nodes[i + 1].Orbit - 1;
        else if (_nodes.Length == 0) orbit = RevolutionOffset;
        else return false;
        return true;
    }

    /// <summary>The limits of an orbit; false when it is not known.</summary>
    public bool TryBoundsOf(int orbit, out OrbitBounds bounds)
    {
        bounds = default;
        var own = IndexOf(orbit);
        var next = IndexOf(orbit + 1);
        TimeStretch? stretch;
        if (own >= 0) stretch = StretchOf(_nodes[own].Time);
        else if (next >= 0) stretch = StretchOf(_nodes[next].Time);
        else if (_nodes.Length == 0 && orbit == RevolutionOffset && Coverage.Count > 0) stretch = new(Coverage[0].Start, Coverage[^1].End);
        else return false;
        if (stretch is null && (own < 0 || next < 0)) return false;
        bounds = new(orbit, own >= 0 ? _nodes[own].Time : stretch!.Value.Start, next >= 0 ? _nodes[next].Time : stretch!.Value.End, own >= 0, next >= 0);
        return bounds.End > bounds.Start;
    }

    /// <summary>The orbits that overlap a stretch (start included, end excluded), in order.</summary>
    public IReadOnlyList<OrbitBounds> OrbitsIn(Instant from, Instant to)
    {
        var orbits = new SortedSet<int>();
        if (_nodes.Length == 0 && Coverage.Count > 0) orbits.Add(RevolutionOffset);
        for (var i = Math.Max(0, LastAtOrBefore(_nodes, from)); i < _nodes.Length; i++)
        {
            if (_nodes[i].Time > from) orbits.Add(_nodes[i].Orbit - 1);
            if (_nodes[i].Time >= to) break;
            orbits.Add(_nodes[i].Orbit);
        }
        var result = new List<OrbitBounds>();
        foreach (var orbit in orbits)
            if (TryBoundsOf(orbit, out var bounds) && bounds.Start < to && bounds.End > from) result.Add(bounds);
        return result;
    }

    private OrbitNode First(IEphemeris ephemeris, IReadOnlyList<Instant> found)
    {
        if (ephemeris is not MeanElementsEphemeris elements || elements.Sets.First() is not { RevolutionAtEpoch: { } revolution } set)
            return new(found[0], 1 + RevolutionOffset);
        var before = -1;
        while (before + 1 < found.Count && found[before + 1] <= set.Epoch) before++;
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

    private static double Period(IEphemeris ephemeris, IReadOnlyList<Instant> found)
    {
        // The median spacing: gaps in the coverage make a few longer ones.
        if (found.Count > 2)
        {
            var spacings = found.Zip(found.Skip(1), (a, b) => b - a).Order().ToArray();
            return spacings[spacings.Length / 2];
        }
        ephemeris.TryGetState(found[0], out var state);
        var v = state.VelocityTemeMs.Length;
        var axis = 1 / (2 / state.PositionTemeM.Length - v * v / Mu);
        return 2 * Math.PI * Math.Sqrt(axis * axis * axis / Mu);
    }

    private TimeStretch? StretchOf(Instant time)
    {
        foreach (var stretch in Coverage)
            if (stretch.Contains(time)) return stretch;
        return null;
    }

    /// <summary>Index of the node that starts an orbit; −1 when it is not known. Numbers rise with the times.</summary>
    private int IndexOf(int orbit)
    {
        int low = 0, high = _nodes.Length - 1;
        while (low <= high)
        {
            var middle = (low + high) / 2;
            if (_nodes[middle].Orbit == orbit) return middle;
            if (_nodes[middle].Orbit < orbit) low = middle + 1;
            else high = middle - 1;
        }
        return -1;
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
