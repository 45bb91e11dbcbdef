using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Trackers;

/// <summary>τ that minimises the residual.</summary>
public sealed class ThermalLagTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("thermal-lag", "Thermal lag", "s", true, true,
        "Lag that minimises the residual of lamp drift against lagged temperature, with slope and offset free; from the orbit's own lamp exposures, or, where these tell it to no better than 15 %, from the window of two orbits on each side with an offset an orbit.",
        "Thermal contact of the interferometer or of its thermometer; too little temperature swing makes it uncertain.",
        "Trust it only where its uncertainty is small (large swing). A lasting change with a steady slope points to the thermometer's contact.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double LeastSpread => 10; // chosen: 2.5 % of 420 s

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => set.OpticsOf(view!, line!)?.Thermal.LagS ?? double.NaN;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            if (Find(orbit, c) is { } lag) output.Add(c.View, c.Line.Id, lag.LagS, lag.SigmaS, lag.Points, orbit.NeighboursMissing);
        }
    }

    /// <summary>Search range of the lag around the approved one, as a factor either way; input temperatures should reach back for the longest.</summary>
    public const double SearchFactor = 3;

    private const double OwnOrbitTells = 0.15;

    private static ThermalLag? Find(OrbitAnalysis orbit, OpticalChannel c)
    {
        var approved = c.Optics.Thermal.LagS;
        // The range to search is a factor either way of it: without lag there is none.
        if (approved == 0) return null;
        var shift = orbit.Shift(c.View);
        var own = orbit.OwnLampPoints(c);
        var ownLag = ThermalFit.TryLag(own, new int[own.Length], shift, orbit.Lagged, approved, approved / SearchFactor, approved * SearchFactor);
        if (ownLag is { } good && good.SigmaS <= OwnOrbitTells * good.LagS) return good;
        LampDriftPoint[] window = [.. orbit.Drift(c).Points.Where(p => !p.LaggedC.NearGap)];
        int[] number = [.. window.Select(p => (int)Math.Floor((p.Time - orbit.Input.Start) / orbit.OrbitS))];
        int[] present = [.. number.Distinct().Order()];
        int[] group = [.. number.Select(n => Array.IndexOf(present, n))];
        var windowLag = ThermalFit.TryLag(window, group, shift, orbit.Lagged, approved, approved / SearchFactor, approved * SearchFactor);
        return ownLag is { } o && windowLag is { } w ? (w.SigmaS < o.SigmaS ? w : o) : windowLag ?? ownLag;
    }
}
