using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What one decision makes again, and how far that is.</summary>
public sealed record ReprocessingRow
{
    /// <summary>The decision.</summary>
    public required long Decision { get; init; }
    /// <summary>Start of the stretch in which the decision changed what is in force.</summary>
    public required Instant FromTime { get; init; }
    /// <summary>End of the stretch (exclusive); null: it goes on.</summary>
    public Instant? ToTime { get; init; }
    /// <summary>First orbit to be made again; null when there is none.</summary>
    public int? FirstOrbit { get; init; }
    /// <summary>Last orbit to be made again.</summary>
    public int? LastOrbit { get; init; }
    /// <summary>Number of orbits to be made again.</summary>
    public required long Orbits { get; init; }
    /// <summary>How many of them a later decision took over before they were made.</summary>
    public long TakenOver { get; init; }
    /// <summary>Wall clock when it was taken up.</summary>
    public required Instant Started { get; init; }
    /// <summary>Wall clock when the last orbit was through; null while some are left.</summary>
    public Instant? Finished { get; init; }
    /// <summary>Orbits whose time was measured.</summary>
    public long WorkedOrbits { get; init; }
    /// <summary>The time they took together, ms.</summary>
    public long WorkedMs { get; init; }
    /// <summary>Wall clock when the winds of before were given up; null while they are kept.</summary>
    public Instant? Retired { get; init; }
    /// <summary>Who gave them up.</summary>
    public string? RetiredBy { get; init; }
    /// <summary>Why.</summary>
    public string? RetireReason { get; init; }
    /// <summary>Orbits that wait.</summary>
    public long Waiting { get; init; }
    /// <summary>Orbits in work.</summary>
    public long Working { get; init; }

    /// <summary>Orbits that are through.</summary>
    public long Done => Orbits - TakenOver - Waiting - Working;
}

/// <summary>An orbit whose products are still those of another set than the one in force.</summary>
/// <param name="Orbit">Orbit.</param>
/// <param name="Decision">The decision that asks for it.</param>
/// <param name="SetId">The set that its products have.</param>
/// <param name="Working">1: its marks are in the work queue; 0: it waits.</param>
public sealed record ReprocessingOrbitRow(long Orbit, long Decision, long SetId, long Working)
{
    /// <summary>True: its marks are in the work queue.</summary>
    public bool IsWorking => Working != 0;
}
