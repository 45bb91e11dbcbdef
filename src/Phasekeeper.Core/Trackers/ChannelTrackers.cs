using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Smallest value of each telemetry channel.</summary>
public sealed class ChannelMinTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("channel-min", "Channel minimum", "channel", false, false,
        "Smallest value of the telemetry channel on the orbit, in the channel's unit.",
        "Whatever the channel measures; a single corrupt sample too.",
        "Open the channel on the Channels page; compare with its limits.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Input.Channels)
            output.Add(null, null, c.Min, double.NaN, c.Count, channel: c.Channel);
    }
}

/// <summary>Mean of each telemetry channel.</summary>
public sealed class ChannelMeanTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("channel-mean", "Channel mean", "channel", false, false,
        "Mean of the telemetry channel's samples on the orbit, in the channel's unit.",
        "Whatever the channel measures: season, operations, ageing.",
        "A trend is read against beta angle first; a step against the diary of activities.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Input.Channels)
            output.Add(null, null, c.Mean, c.StandardDeviation / Math.Sqrt(Math.Max(1, c.Count)), c.Count, channel: c.Channel);
    }
}

/// <summary>Largest value of each telemetry channel.</summary>
public sealed class ChannelMaxTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("channel-max", "Channel maximum", "channel", false, false,
        "Largest value of the telemetry channel on the orbit, in the channel's unit.",
        "Whatever the channel measures; a single corrupt sample too.",
        "Open the channel on the Channels page; compare with its limits.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Input.Channels)
            output.Add(null, null, c.Max, double.NaN, c.Count, channel: c.Channel);
    }
}

/// <summary>Duty cycle of each two-state channel.</summary>
public sealed class ChannelDutyTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("channel-duty", "Channel duty cycle", "1", false, false,
        "Part of the orbit's samples in which a two-state channel is on.",
        "Heaters: temperature and beta angle. Others: operations.",
        "A heater near 0 or 1 has no control left: its temperature will drift, and with it the optics.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.01; // chosen: one percent

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Input.Channels)
            output.Add(null, null, c.DutyCycle, double.NaN, c.Count, channel: c.Channel);
    }
}

/// <summary>State changes of each two-state channel.</summary>
public sealed class ChannelChangesTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("channel-changes", "Channel state changes", "count", false, false,
        "Number of changes of state of a two-state channel on the orbit.",
        "Heater control, commands, resets.",
        "Many more than usual is a thermostat that chatters or a line that is noisy.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Input.Channels)
            output.Add(null, null, c.StateChanges < 0 ? double.NaN : c.StateChanges, double.NaN, c.Count, channel: c.Channel);
    }
}

/// <summary>Phase-folded profile against the 15 orbits before.</summary>
public sealed class ChannelProfileTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("channel-profile", "Channel profile distance", "1", false, false,
        "Root mean square difference between the channel's phase-folded profile of the orbit (48 bins from the ascending node) and the bins' median over the 15 orbits before, in units of their usual spread from orbit to orbit. About 1 is normal; needs five earlier orbits.",
        "A different course of the orbit: a heater that stays off, a changed eclipse, an activity.",
        "Look at the Orbit page with the earlier orbits behind it: the bins that differ tell when on the orbit it happened.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.3; // chosen: chosen: a third of the usual spread

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Input.Channels)
        {
            if (Distance(c, orbit.Input.RecentChannels) is not { } d) continue;
            output.Add(null, null, d.Distance, double.NaN, d.Orbits, d.Orbits < OrbitInput.RecentOrbits, c.Channel);
        }
    }

    private const int LeastOrbits = 5;

    private static (double Distance, int Orbits)? Distance(ChannelOrbitStatistics now, IReadOnlyList<IReadOnlyList<ChannelOrbitStatistics>> recent)
    {
        double[][] before = [.. recent.Select(o => o.FirstOrDefault(c => c.Channel == now.Channel)).OfType<ChannelOrbitStatistics>()
            .Select(c => c.Profile).Where(p => p.Length == now.Profile.Length)];
        if (now.Profile.Length == 0 || before.Length < LeastOrbits) return null;
        double squares = 0;
        var bins = 0;
        List<double> spreads = [], medians = [];
        for (var b = 0; b < now.Profile.Length; b++)
        {
            double[] values = [.. before.Select(p => p[b]).Where(double.IsFinite)];
            if (values.Length < LeastOrbits || !double.IsFinite(now.Profile[b])) continue;
            var median = RobustStatistics.Median(values);
            spreads.Add(RobustStatistics.MadSigma(values));
            medians.Add(median);
            squares += (now.Profile[b] - median) * (now.Profile[b] - median);
            bins++;
        }
        if (bins < now.Profile.Length / 4) return null;
        // A quiet channel's spread may be zero: then half a percent of its swing, or a millionth of its value, is the least that counts.
        var spread = Math.Max(RobustStatistics.Median(spreads), Math.Max(0.005 * (medians.Max() - medians.Min()), 1e-6 * Math.Max(1, Math.Abs(now.Mean))));
        return (Math.Sqrt(squares / bins) / spread, before.Length);
    }
}
