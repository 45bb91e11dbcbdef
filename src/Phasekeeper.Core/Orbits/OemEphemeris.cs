using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Orbits;

/// <summary>An orbit file of tabulated states (CCSDS OEM), converted to TEME: one or several segments, never interpolated across their ends.</summary>
public sealed class OemEphemeris : IEphemeris
{
    private readonly OemSegment[] _segments;

    /// <summary>Segments in file order; where two cover a moment, the later one in the file counts.</summary>
    public OemEphemeris(IEnumerable<OemSegment> segments)
    {
        _segments = [.. segments];
        if (_segments.Length == 0) throw new ArgumentException("Found no segment; expected at least one.", nameof(segments));
        Coverage = TimeStretch.Union(_segments.Select(s => s.Stretch));
    }

    /// <inheritdoc/>
    public EphemerisKind Kind => EphemerisKind.Oem;

    /// <inheritdoc/>
    public Instant Start => Coverage[0].Start;

    /// <inheritdoc/>
    public Instant End => Coverage[^1].End;

    /// <inheritdoc/>
    public IReadOnlyList<TimeStretch> Coverage { get; }

    /// <summary>The segments, in file order.</summary>
    public IReadOnlyList<OemSegment> Segments => _segments;

    /// <inheritdoc/>
    public bool TryGetState(Instant time, out OrbitState state)
    {
        for (var i = _segments.Length - 1; i >= 0; i--)
            if (_segments[i].TryGetState(time, out state)) return true;
        state = default;
        return false;
    }
}
