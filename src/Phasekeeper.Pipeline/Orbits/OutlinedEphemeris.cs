using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Orbits;

/// <summary>
/// An orbit file known by its outline, whose states are read when one is asked for: a mission of years has more of them than need be in memory, and a start that read all would take longer every month. Any thread.
/// </summary>
/// <param name="outline">What it covers.</param>
/// <param name="read">Reads the states; gives the same each time.</param>
/// <param name="shelf">Where what was read is kept for a while.</param>
public sealed class OutlinedEphemeris(EphemerisOutline outline, Func<IEphemeris> read, EphemerisShelf shelf) : IEphemeris
{
    private readonly Lock gate = new();
    private volatile IEphemeris? content;

    /// <summary>What is known without reading it.</summary>
    public EphemerisOutline Outline { get; } = outline;

    /// <inheritdoc/>
    public EphemerisKind Kind => Outline.Kind;

    /// <inheritdoc/>
    public Instant Start => Coverage[0].Start;

    /// <inheritdoc/>
    public Instant End => Coverage[^1].End;

    /// <inheritdoc/>
    public IReadOnlyList<TimeStretch> Coverage => Outline.Coverage;

    /// <summary>True while its states are in memory.</summary>
    public bool IsRead => content is not null;

    /// <inheritdoc/>
    public bool TryGetState(Instant time, out OrbitState state)
    {
        state = default;
        return Covers(time) && (content ?? Read()).TryGetState(time, out state);
    }

    /// <summary>One whose states were read just now.</summary>
    public static OutlinedEphemeris Of(IEphemeris states, Func<IEphemeris> read, EphemerisShelf shelf)
    {
        ArgumentNullException.ThrowIfNull(shelf);
        var ephemeris = new OutlinedEphemeris(EphemerisOutline.Of(states), read, shelf) { content = states };
        shelf.Keep(ephemeris);
        return ephemeris;
    }

    /// <summary>Gives the states back to the memory.</summary>
    internal void Drop() => content = null;

    private bool Covers(Instant time)
    {
        foreach (var stretch in Coverage)
            if (stretch.Contains(time)) return true;
        return false;
    }

    private IEphemeris Read()
    {
        lock (gate)
        {
            if (content is { } known) return known;
            var states = content = read();
            shelf.Keep(this);
            return states;
        }
    }
}

/// <summary>Keeps the files that were read last in memory, so many of them.</summary>
/// <param name="most">How many.</param>
public sealed class EphemerisShelf(int most)
{
    private readonly Lock gate = new();
    private readonly Queue<OutlinedEphemeris> kept = new();

    /// <summary>Keeps one that was read just now; the one that was read longest ago goes.</summary>
    internal void Keep(OutlinedEphemeris ephemeris)
    {
        lock (gate)
        {
            kept.Enqueue(ephemeris);
            if (kept.Count > most) kept.Dequeue().Drop();
        }
    }
}
