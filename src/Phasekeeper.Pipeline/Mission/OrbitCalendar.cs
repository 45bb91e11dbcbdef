using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>An orbit's number and limits; a UTC day for a mission without an orbit.</summary>
/// <param name="Number">Number.</param>
/// <param name="Start">Start.</param>
/// <param name="End">End (exclusive).</param>
/// <param name="IsWhole">False: it begins or ends where the orbit files do, not at a node, so what is counted over it is no property of an orbit.</param>
public readonly record struct OrbitSlot(int Number, Instant Start, Instant End, bool IsWhole = true);

/// <summary>Turns times into orbit numbers and back. Without any orbit file, UTC days take the place of orbits (number = days since 1970-01-01).</summary>
public sealed class OrbitCalendar(OrbitNumbering? numbering)
{
    // Days from 1970 that an instant can hold, and a little more.
    private const int FarthestDay = 107_000;

    /// <summary>A calendar of UTC days.</summary>
    public static OrbitCalendar Days { get; } = new(null);

    /// <summary>True when UTC days take the place of orbits.</summary>
    public bool CountsDays => numbering is null;

    /// <summary>The orbit that holds a moment; null where no orbit file tells.</summary>
    public OrbitSlot? At(Instant time)
    {
        if (numbering is null) return Of((int)time.ToUnixDay().UnixDay);
        return numbering.TryOrbitOf(time, out var orbit) ? Of(orbit) : null;
    }

    /// <summary>The limits of an orbit; null when it is not known.</summary>
    public OrbitSlot? Of(int number)
    {
        // Days that no instant can hold are none.
        if (numbering is null && number is < -FarthestDay or > FarthestDay) return null;
        if (numbering is null) return new(number, Instant.FromUnixDay(number, 0), Instant.FromUnixDay(number + 1, 0));
        return numbering.TryBoundsOf(number, out var bounds) ? new(number, bounds.Start, bounds.End, bounds.StartsAtNode && bounds.EndsAtNode) : null;
    }

    /// <summary>The orbit at a moment, else the one before it, else the first one: where a fact about data outside every orbit is told. Null when no orbit is known.</summary>
    public int? Beside(Instant time)
    {
        if (At(time) is { } slot) return slot.Number;
        if (numbering!.OrbitsIn(Instant.MinValue, time) is [.., var before]) return before.Orbit;
        return numbering.OrbitsIn(time, Instant.MaxValue) is [var first, ..] ? first.Orbit : null;
    }

    /// <summary>The first orbit that begins with an ascending node at or after a moment (a UTC day without any orbit file); null where no orbit file tells.</summary>
    public OrbitSlot? FirstNode(Instant time)
    {
        if (numbering is null) return Of((int)time.ToUnixDay().UnixDay) is { } day && day.Start < time ? Of(day.Number + 1) : Of((int)time.ToUnixDay().UnixDay);
        foreach (var bounds in numbering.OrbitsIn(time, Instant.MaxValue))
            if (bounds.StartsAtNode && bounds.Start >= time) return Of(bounds.Orbit);
        return null;
    }

    /// <summary>Orbits that overlap [from, to), in order.</summary>
    public IReadOnlyList<OrbitSlot> In(Instant from, Instant to)
    {
        if (numbering is not null) return [.. numbering.OrbitsIn(from, to).Select(b => new OrbitSlot(b.Orbit, b.Start, b.End, b.StartsAtNode && b.EndsAtNode))];
        var slots = new List<OrbitSlot>();
        for (var day = (int)from.ToUnixDay().UnixDay; Of(day) is { } slot && slot.Start < to; day++) slots.Add(slot);
        return slots;
    }
}
