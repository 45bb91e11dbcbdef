using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.SignOff;

/// <summary>A day in short: what a list needs.</summary>
/// <param name="Date">UTC day; orbits count for the day on which they begin.</param>
/// <param name="Orbits">Orbits of the day that mission time has reached.</param>
/// <param name="End">End of its last orbit.</param>
/// <param name="IsOver">True when mission time has passed it.</param>
/// <param name="Signed">The sign-off that counts; null when there is none.</param>
public sealed record DayOutline(DateOnly Date, int Orbits, Instant End, bool IsOver, SignOffRow? Signed);

/// <summary>A day as its sheet shows it, all read at one time.</summary>
public sealed record DaySheet
{
    /// <summary>The day in short.</summary>
    public required DayOutline Day { get; init; }
    /// <summary>What the proposal rests on.</summary>
    public required DayFacts Facts { get; init; }
    /// <summary>What the system proposes.</summary>
    public required DayProposal Proposal { get; init; }
    /// <summary>What a sign-off rests on.</summary>
    public required DayGround Ground { get; init; }
    /// <summary>Names the ground: a sign-off names the key that the person saw.</summary>
    public required string Key { get; init; }
    /// <summary>What changed since the sign-off that counts; empty when nothing did, or there is none.</summary>
    public required IReadOnlyList<DayChange> Since { get; init; }
    /// <summary>The orbits with data.</summary>
    public required IReadOnlyList<OrbitRow> Orbits { get; init; }
    /// <summary>The flags that stand.</summary>
    public required IReadOnlyList<FlagRow> Flags { get; init; }
    /// <summary>What is held, and why.</summary>
    public required IReadOnlyDictionary<int, HoldKind> Held { get; init; }

    /// <summary>running, unsigned, signed or changed (signed off, and other since).</summary>
    public string State => Day.Signed is null ? (Day.IsOver ? "unsigned" : "running") : Since.Count == 0 ? "signed" : "changed";
}
