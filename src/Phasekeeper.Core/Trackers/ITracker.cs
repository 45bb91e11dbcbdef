using Phasekeeper.Core.Coefficients;

namespace Phasekeeper.Core.Trackers;

/// <summary>What a tracker's values are compared with.</summary>
public enum TrackerBaseline
{
    /// <summary>Nothing: shown, but not charted against limits (settings, plot axes).</summary>
    None,
    /// <summary>The approved coefficient set (<see cref="ITracker.Expected"/>).</summary>
    Coefficients,
    /// <summary>The robust centre of the first orbits since the start of its reference.</summary>
    FirstOrbits,
    /// <summary>The robust centre of the 15 orbits before (domain.md section 4): sees jumps, not slow drifts.</summary>
    RecentOrbits,
}

/// <summary>What a tracker's values are computed from, and so when.</summary>
public enum TrackerSource
{
    /// <summary>Telemetry, fringes and their drift.</summary>
    Measurements,
    /// <summary>Winds (<see cref="OrbitInput.Winds"/>), which follow later.</summary>
    Winds,
    /// <summary>Condensed winds of the weeks before (<see cref="OrbitInput.ZeroWind"/>), once a day.</summary>
    ZeroWind,
}

/// <summary>
/// One thing that drifts: what it is and how one orbit's values come about. Listed in <see cref="TrackerCatalog"/>; storage, statistics, API,
/// pages and help are driven by it. Stateless; the same input gives the same values.
/// </summary>
public interface ITracker
{
    /// <summary>What pages, API and help show.</summary>
    TrackerInfo Info { get; }

    /// <summary>What the values are compared with.</summary>
    TrackerBaseline Baseline { get; }

    /// <summary>What the values are computed from.</summary>
    TrackerSource Source => TrackerSource.Measurements;

    /// <summary>Period of a value that is only known modulo something (2π for a phase); 0 = none. Statistics unwrap such a series.</summary>
    double Period => 0;

    /// <summary>Smallest change that matters to the instrument or the winds, in the tracker's unit: the spread assumed for charts is never below it; 0 = none.</summary>
    double LeastSpread => 0;

    /// <summary>Value that the coefficient set expects, in the tracker's unit; NaN when it says nothing.</summary>
    double Expected(CoefficientSet set, string? view, string? line) => double.NaN;

    /// <summary>Adds this orbit's values, if its data allow any.</summary>
    void Compute(OrbitAnalysis orbit, TrackerOutput output);
}
