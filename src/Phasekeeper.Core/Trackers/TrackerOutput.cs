using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>Collects the values of one orbit, tracker by tracker. Values that are not finite are not kept: a tracker without data has no value.</summary>
public sealed class TrackerOutput(int orbit, Instant time, bool orbitProvisional)
{
    private readonly List<TrackerValue> _values = [];
    private string _tracker = "";

    /// <summary>The values so far, in the catalogue's order.</summary>
    public IReadOnlyList<TrackerValue> Values => _values;

    /// <summary>Names the tracker whose values follow.</summary>
    public void Begin(TrackerInfo info) => _tracker = info.Id;

    /// <summary>Adds a value of the tracker named last.</summary>
    /// <param name="view">View id, or null when the tracker is not per view.</param>
    /// <param name="line">Line id, or null.</param>
    /// <param name="value">Value in the tracker's unit; dropped when not finite.</param>
    /// <param name="sigma">1σ; NaN when there is none.</param>
    /// <param name="n">Points behind it.</param>
    /// <param name="provisional">True when it leans on orbits that have not arrived; an orbit that is itself incomplete makes all its values provisional.</param>
    /// <param name="channel">Channel name for channel trackers.</param>
    public void Add(string? view, string? line, double value, double sigma, int n, bool provisional = false, string? channel = null)
    {
        if (!double.IsFinite(value)) return;
        var usable = double.IsFinite(sigma) && sigma >= 0 ? sigma : double.NaN;
        _values.Add(new(new(_tracker, view, line, channel), orbit, time, value, usable, n, orbitProvisional || provisional));
    }
}
