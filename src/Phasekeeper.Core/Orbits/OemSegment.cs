using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>How states between the nodes of an orbit file are made.</summary>
public enum OemInterpolation
{
    /// <summary>Polynomial through positions and velocities; the velocity is its derivative.</summary>
    Hermite,
    /// <summary>Polynomials through the positions and, apart from them, the velocities.</summary>
    Lagrange,
}

/// <summary>A node of an orbit file.</summary>
public readonly record struct OemNode(Instant Time, OrbitState State);

/// <summary>
/// A stretch of tabulated states that may be interpolated as one (CCSDS 502.0-B section 5). Exact at the nodes. With states every 60 s in a low orbit whose
/// velocities are the derivatives of its positions, Hermite degree 7 (4 nodes) reproduces position within 0.1 mm and velocity within 5 µm/s, degree 3 within
/// 0.4 m and 0.02 m/s (test Interpolation_errors_stay_within_their_stated_bounds). A file made with SGP4 is good to 0.2 m and 0.05 m/s whatever the degree,
/// because SGP4's velocities miss some short-period terms (test A_file_made_with_sgp4_is_limited_by_its_own_velocities).
/// </summary>
public sealed class OemSegment
{
    /// <summary>Degree when the file names none: four nodes for Hermite.</summary>
    public const int DefaultDegree = 7;

    private readonly OemNode[] _nodes;
    private readonly OemInterpolation _method;
    private readonly int _count;

    /// <summary>Nodes in strictly rising time (at least two), in TEME; the usable stretch is cut to the nodes' own.</summary>
    public OemSegment(IReadOnlyList<OemNode> nodes, OemInterpolation method, int degree, TimeStretch? useable = null)
    {
        if (nodes.Count < 2) throw new ArgumentException($"Found {nodes.Count} states; expected at least two to interpolate between.", nameof(nodes));
        if (degree < 1) throw new ArgumentOutOfRangeException(nameof(degree), degree, "Expected a degree of at least 1.");
        _nodes = [.. nodes];
        for (var i = 1; i < _nodes.Length; i++)
            if (_nodes[i].Time <= _nodes[i - 1].Time) throw new ArgumentException($"Found {_nodes[i].Time} after {_nodes[i - 1].Time}; expected rising times.", nameof(nodes));
        _method = method;
        // A Hermite polynomial of degree 2n − 1 takes n nodes, a Lagrange one of degree n − 1; a short segment uses what it has.
        _count = Math.Min(_nodes.Length, method == OemInterpolation.Hermite ? Math.Max(2, (degree + 2) / 2) : degree + 1);
        Instant start = _nodes[0].Time, end = _nodes[^1].Time;
        if (useable is { } u)
        {
            if (u.Start > start) start = u.Start;
            if (u.End < end) end = u.End;
        }
        if (end < start) throw new ArgumentException("Found a usable stretch without any state; expected one that overlaps them.", nameof(useable));
        Stretch = new(start, end);
    }

    /// <summary>What the segment covers, ends included.</summary>
    public TimeStretch Stretch { get; }

    /// <summary>The nodes, TEME.</summary>
    public IReadOnlyList<OemNode> Nodes => _nodes;

    /// <summary>State at a moment; false outside <see cref="Stretch"/>.</summary>
    public bool TryGetState(Instant time, out OrbitState state)
    {
        state = default;
        if (!Stretch.Contains(time)) return false;
        // Last node at or before the moment.
        int low = 0, high = _nodes.Length - 1;
        while (low < high)
        {
            var middle = (low + high + 1) / 2;
            if (_nodes[middle].Time <= time) low = middle;
            else high = middle - 1;
        }
        if (_nodes[low].Time == time)
        {
            state = _nodes[low].State;
            return true;
        }
        // As many nodes on either side as the ends allow; with an odd number the extra one is the nearer.
        var first = low - (_count - 1) / 2;
        if (_count % 2 == 1 && low + 1 < _nodes.Length && _nodes[low + 1].Time - time < time - _nodes[low].Time) first++;
        first = Math.Clamp(first, 0, _nodes.Length - _count);
        state = _method == OemInterpolation.Hermite ? Hermite(first, time) : Lagrange(first, time);
        return true;
    }

    /// <summary>Newton's divided differences over doubled nodes, value and derivative by Horner's rule.</summary>
    private OrbitState Hermite(int first, Instant time)
    {
        var size = 2 * _count;
        Span<double> at = size <= 32 ? stackalloc double[size] : new double[size];
        Span<Vec3> difference = size <= 32 ? stackalloc Vec3[size] : new Vec3[size];
        for (var i = 0; i < _count; i++)
        {
            var node = _nodes[first + i];
            at[2 * i] = at[2 * i + 1] = node.Time - time;
            difference[2 * i] = difference[2 * i + 1] = node.State.PositionTemeM;
        }
        for (var order = 1; order < size; order++)
            for (var i = size - 1; i >= order; i--)
                difference[i] = order == 1 && i % 2 == 1
                    ? _nodes[first + i / 2].State.VelocityTemeMs
                    : (difference[i] - difference[i - 1]) / (at[i] - at[i - order]);
        Vec3 value = difference[size - 1], slope = default;
        for (var i = size - 2; i >= 0; i--)
        {
            slope = value + -at[i] * slope;
            value = difference[i] + -at[i] * value;
        }
        return new(value, slope);
    }

    private OrbitState Lagrange(int first, Instant time)
    {
        Vec3 position = default, velocity = default;
        for (var i = 0; i < _count; i++)
        {
            var weight = 1.0;
            var own = _nodes[first + i].Time;
            for (var j = 0; j < _count; j++)
                if (j != i) weight *= (time - _nodes[first + j].Time) / (own - _nodes[first + j].Time);
            position += weight * _nodes[first + i].State.PositionTemeM;
            velocity += weight * _nodes[first + i].State.VelocityTemeMs;
        }
        return new(position, velocity);
    }
}
