using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>One orbit as it stands (contract.md section 4, <c>/api/v1/orbits</c>).</summary>
public sealed record OrbitRow
{
    /// <summary>Orbit number (UTC day number since 1970-01-01 for a mission without an orbit).</summary>
    public required int Orbit { get; init; }
    /// <summary>Ascending node that starts it.</summary>
    public required Instant Start { get; init; }
    /// <summary>Next ascending node.</summary>
    public required Instant End { get; init; }
    /// <summary>Beta angle, deg; null without an orbit.</summary>
    public double? BetaDeg { get; init; }
    /// <summary>Share of the orbit in shadow, 0…1.</summary>
    public double? EclipseFraction { get; init; }
    /// <summary>Entry into shadow; null when there is none.</summary>
    public Instant? EclipseStart { get; init; }
    /// <summary>Exit from shadow.</summary>
    public Instant? EclipseEnd { get; init; }
    /// <summary>Exposures that the cadence promises.</summary>
    public int ExpectedExposures { get; init; }
    /// <summary>Exposures that arrived.</summary>
    public int ReceivedExposures { get; init; }
    /// <summary>Rows (packets of fringe telemetry) that the exposures promise.</summary>
    public int ExpectedRows { get; init; }
    /// <summary>Rows that arrived.</summary>
    public int ReceivedRows { get; init; }
    /// <summary>usable | remarks | held | incomplete.</summary>
    public required string Verdict { get; init; }
    /// <summary>Why the verdict is what it is, one sentence; empty when usable.</summary>
    public string VerdictReasons { get; init; } = "";
    /// <summary>True while orbits on which it depends have not arrived.</summary>
    public bool Provisional { get; init; }
    /// <summary>Auxiliary file that gave the ephemeris.</summary>
    public long? EphemerisFile { get; init; }
    /// <summary>Coefficient set in force.</summary>
    public long? CoefficientSet { get; init; }
    /// <summary>Version of the program that made the row; empty for one of before it was written down.</summary>
    public string SoftwareVersion { get; init; } = "";
    /// <summary>Further figures of the orbit as a JSON object.</summary>
    public string Detail { get; init; } = "{}";
}
