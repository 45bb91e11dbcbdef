using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>Which series of a tracker: view and line where they apply, else null; a channel's name for channel trackers.</summary>
public readonly record struct SeriesKey(string Tracker, string? View, string? Line, string? Channel = null);

/// <summary>One value of a tracker on one orbit.</summary>
/// <param name="Key">Which series.</param>
/// <param name="Orbit">Orbit number (or UTC day number since 1970-01-01 for a mission without an orbit).</param>
/// <param name="Time">Middle of the orbit's data.</param>
/// <param name="Value">Value in the tracker's unit.</param>
/// <param name="Sigma">1σ, same unit; NaN when it has none.</param>
/// <param name="N">Number of points behind the value.</param>
/// <param name="Provisional">True while orbits on which the value depends have not arrived.</param>
public readonly record struct TrackerValue(
    SeriesKey Key, int Orbit, Instant Time, double Value, double Sigma, int N, bool Provisional);
