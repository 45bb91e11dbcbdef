using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits.Files;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Limb;

/// <summary>An attitude of a file: the quaternion that turns the axes of the file's frame into the body's.</summary>
internal readonly record struct AemNode(Instant Time, Quaternion FrameToBody);

/// <summary>
/// Attitudes that may be interpolated as one: along the shorter arc at constant rate (slerp) for degree 1, else by Lagrange polynomials of the
/// components, brought back to length 1. Exact at the nodes. Interpolated in the file's own frame and turned to TEME at the moment.
/// </summary>
internal sealed class AemSegment
{
    private readonly AemNode[] _nodes;
    private readonly CcsdsFrame _frame;
    private readonly int _count;

    public AemSegment(IReadOnlyList<AemNode> nodes, CcsdsFrame frame, int degree, TimeStretch useable)
    {
        _nodes = [.. nodes];
        // q and −q are the same rotation: neighbours are put on the same side, so that polynomials do not jump.
        for (var i = 1; i < _nodes.Length; i++)
            if (Quaternion.Dot(_nodes[i - 1].FrameToBody, _nodes[i].FrameToBody) < 0)
            {
                var q = _nodes[i].FrameToBody;
                _nodes[i] = _nodes[i] with { FrameToBody = new(-q.W, -q.X, -q.Y, -q.Z) };
            }
        _frame = frame;
        _count = Math.Min(degree + 1, _nodes.Length);
        Stretch = new(useable.Start > _nodes[0].Time ? useable.Start : _nodes[0].Time, useable.End < _nodes[^1].Time ? useable.End : _nodes[^1].Time);
    }

    /// <summary>What the segment covers, ends included.</summary>
    public TimeStretch Stretch { get; }

    public bool TryGetAttitude(Instant time, out BodyAttitude attitude)
    {
        attitude = default;
        if (!Stretch.Contains(time)) return false;
        int low = 0, high = _nodes.Length - 1;
        while (low < high)
        {
            var middle = (low + high + 1) / 2;
            if (_nodes[middle].Time <= time) low = middle;
            else high = middle - 1;
        }
        var body = BodyAttitude.FromQuaternion(At(low, time));
        var turn = _frame.ToTeme(time);
        attitude = new(turn * body.XTeme, turn * body.YTeme, turn * body.ZTeme);
        return true;
    }

    private Quaternion At(int low, Instant time)
    {
        if (_nodes[low].Time == time) return _nodes[low].FrameToBody;
        if (_count == 2)
            return Quaternion.Slerp(_nodes[low].FrameToBody, _nodes[low + 1].FrameToBody, (time - _nodes[low].Time) / (_nodes[low + 1].Time - _nodes[low].Time));
        var first = Math.Clamp(low - (_count - 1) / 2, 0, _nodes.Length - _count);
        double w = 0, x = 0, y = 0, z = 0;
        for (var i = first; i < first + _count; i++)
        {
            var weight = 1.0;
            for (var j = first; j < first + _count; j++)
                if (j != i) weight *= (time - _nodes[j].Time) / (_nodes[i].Time - _nodes[j].Time);
            var q = _nodes[i].FrameToBody;
            (w, x, y, z) = (w + weight * q.W, x + weight * q.X, y + weight * q.Y, z + weight * q.Z);
        }
        return new Quaternion(w, x, y, z).Normalized();
    }
}
