using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Limb;

/// <summary>An attitude file (CCSDS AEM): one or several segments, never interpolated across their ends or beyond them.</summary>
public sealed class AemAttitude
{
    private readonly AemSegment[] _segments;

    internal AemAttitude(IEnumerable<AemSegment> segments)
    {
        _segments = [.. segments];
        Coverage = TimeStretch.Union(_segments.Select(s => s.Stretch));
    }

    /// <summary>The stretches covered, in order and without overlap, ends included.</summary>
    public IReadOnlyList<TimeStretch> Coverage { get; }

    /// <summary>First moment covered.</summary>
    public Instant Start => Coverage[0].Start;

    /// <summary>Last moment covered.</summary>
    public Instant End => Coverage[^1].End;

    /// <summary>Attitude at a moment; false where the file does not cover it. Where two segments cover it, the later one in the file counts.</summary>
    public bool TryGetAttitude(Instant time, out BodyAttitude attitude)
    {
        for (var i = _segments.Length - 1; i >= 0; i--)
            if (_segments[i].TryGetAttitude(time, out attitude)) return true;
        attitude = default;
        return false;
    }
}
