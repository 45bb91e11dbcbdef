using Phasekeeper.Core.ZeroWind;

namespace Phasekeeper.Core.Trackers;

/// <summary>Offset of the corrected winds of a view and line, once a day.</summary>
public sealed class ZeroWindTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("zero-wind", "Zero wind", "m/s", true, true,
        $"Offset of the corrected winds: least squares of u·sin(azimuth) + v·cos(azimuth) + offset of the view, with u and v unknown in every bin of latitude, local time and altitude, over up to {ZeroWindOptions.Default.WindowDays} days before the UTC day on whose first orbit the value stands. Its σ holds the wind's own change from day to day. No value stands until both legs of the orbit have seen the same places at the same local times under different looks.",
        "Zero-wind phases of the coefficient set that are off or that moved; and a constant yaw error, which shifts the winds of both views alike (0.01° is about 0.9 m/s) and cannot be told apart from a common offset.",
        "A difference between the views is the optics: propose zero-wind phases that take it out, and test them on orbits that the fit did not see. A common offset may be yaw: ask for the attitude solution first. Successive values share most of their window, so they are not charted against limits.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public TrackerSource Source => TrackerSource.ZeroWind;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var estimate in orbit.Input.ZeroWind.Where(e => e.Status == ZeroWindStatus.Claimed))
            foreach (var offset in estimate.Offsets) output.Add(offset.View, estimate.Line, offset.OffsetMs, offset.SigmaMs, estimate.BinsUsed);
    }
}
