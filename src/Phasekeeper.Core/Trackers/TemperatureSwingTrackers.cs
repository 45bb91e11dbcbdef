namespace Phasekeeper.Core.Trackers;

/// <summary>Temperature swing of the interferometer.</summary>
public sealed class InterferometerSwingTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("interferometer-swing", "Interferometer temperature swing", "K", false, false,
        "Largest minus smallest interferometer temperature on the orbit.",
        "Eclipse and beta angle, heaters.",
        "What the thermal trackers are plotted against; a swing outside the season's course points to a heater.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        var values = orbit.Input.InterferometerC.Between(orbit.Input.Start, orbit.Input.End).ValuesC;
        if (values.Length < 2) return;
        double low = values[0], high = values[0];
        foreach (var v in values) (low, high) = (Math.Min(low, v), Math.Max(high, v));
        output.Add(null, null, high - low, double.NaN, values.Length);
    }
}

/// <summary>Temperature swing of the bench.</summary>
public sealed class BenchSwingTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("bench-swing", "Bench temperature swing", "K", false, false,
        "Largest minus smallest bench temperature on the orbit.",
        "Eclipse and beta angle, heaters.",
        "What the thermal trackers are plotted against; a swing outside the season's course points to a heater.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        var values = orbit.Input.BenchC.Between(orbit.Input.Start, orbit.Input.End).ValuesC;
        if (values.Length < 2) return;
        double low = values[0], high = values[0];
        foreach (var v in values) (low, high) = (Math.Min(low, v), Math.Max(high, v));
        output.Add(null, null, high - low, double.NaN, values.Length);
    }
}

/// <summary>Sunlit minus shadow temperature.</summary>
public sealed class SunlitShadowTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("sunlit-shadow-difference", "Sunlit minus shadow temperature", "K", false, false,
        "Mean interferometer temperature of the orbit's sunlit part minus that of its part in shadow; none on an orbit without shadow.",
        "Eclipse fraction, thermal inertia, heaters.",
        "What the thermal trackers are plotted against.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Setting is not { } setting) return;
        var own = orbit.Input.InterferometerC.Between(orbit.Input.Start, orbit.Input.End);
        double sunlit = 0, shadow = 0;
        int inSun = 0, inShadow = 0;
        for (var i = 0; i < own.Count; i++)
        {
            var time = own.Times[i];
            if (setting.Sunlit.Any(s => s.Contains(time)))
            {
                sunlit += own.ValuesC[i];
                inSun++;
            }
            else
            {
                shadow += own.ValuesC[i];
                inShadow++;
            }
        }
        if (inSun > 0 && inShadow > 0) output.Add(null, null, sunlit / inSun - shadow / inShadow, double.NaN, own.Count);
    }
}
