using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>The orbits of a stretch, in order; turns a time into an orbit number.</summary>
public sealed class OrbitMap
{
    private readonly OrbitSpan[] _spans;

    /// <summary>Orbits in any order; numbers and starts must rise together.</summary>
    public OrbitMap(IEnumerable<OrbitSpan> spans)
    {
        _spans = [.. spans.OrderBy(s => s.Number)];
        for (var i = 1; i < _spans.Length; i++)
            if (_spans[i].Number == _spans[i - 1].Number || _spans[i].Start < _spans[i - 1].End)
                throw new ArgumentException($"Orbit {_spans[i].Number} starts {_spans[i].Start}; the orbit before it, {_spans[i - 1].Number}, "
                    + $"ends {_spans[i - 1].End}. Orbits must not repeat or overlap.", nameof(spans));
    }

    /// <summary>All orbits.</summary>
    public IReadOnlyList<OrbitSpan> Spans => _spans;

    /// <summary>The orbit that holds a time; before the first or after the last: the nearest one. Null when the map is empty.</summary>
    public OrbitSpan? At(Instant time)
    {
        if (_spans.Length == 0) return null;
        int low = 0, high = _spans.Length - 1;
        while (low < high)
        {
            var mid = (low + high + 1) / 2;
            if (_spans[mid].Start <= time) low = mid; else high = mid - 1;
        }
        return _spans[low];
    }

    /// <summary>The orbit of a number, or null.</summary>
    public OrbitSpan? Of(int number)
    {
        int low = 0, high = _spans.Length - 1;
        while (low <= high)
        {
            var mid = (low + high) / 2;
            if (_spans[mid].Number == number) return _spans[mid];
            if (_spans[mid].Number < number) low = mid + 1; else high = mid - 1;
        }
        return null;
    }
}
