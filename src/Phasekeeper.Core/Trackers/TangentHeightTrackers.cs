using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Apparent height of the green layer.</summary>
public sealed class TangentHeightTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("tangent-height", "Apparent layer height", "km", true, false,
        "Median over the orbit's scene exposures of the tangent altitude at which the green line's signal peaks between 80 and 120 km (parabola through the logarithm of the three brightest rows). Compared with the mean of the 15 orbits before.",
        "Pitch and roll errors (0.01° of pitch is about 0.4 km), a wrong orbit file; the layer itself by a few km with season and latitude.",
        "A step of a km or more between orbits in both views is attitude: ask for the attitude solution. A drift over weeks may be the atmosphere.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.2; // chosen: 0.005° of pitch

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var (view, profiles) in GreenLayer.Profiles(orbit))
        {
            double[] peaks = [.. profiles.Select(p => p.PeakKm)];
            output.Add(view, null, RobustStatistics.Median(peaks), RobustStatistics.MedianSigma(peaks), peaks.Length);
        }
    }
}

/// <summary>Top-side scale height of the green layer.</summary>
public sealed class TopSideTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("top-side-scale-height", "Top-side scale height", "km", true, false,
        "Median over the orbit's scene exposures of the height over which the green line's signal falls by e above its peak (straight line through the logarithm of the signal up to 25 km above the peak).",
        "Height of the field of view against the layer, focus across the rows, stray light, dark signal; the layer itself.",
        "Read it with the apparent height: both moving is pointing, this alone is stray light or focus.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 0.3; // chosen: 2 % of a scale height

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var (view, profiles) in GreenLayer.Profiles(orbit))
        {
            double[] heights = [.. profiles.Select(p => p.ScaleHeightKm).Where(double.IsFinite)];
            if (heights.Length > 0) output.Add(view, null, RobustStatistics.Median(heights), RobustStatistics.MedianSigma(heights), heights.Length);
        }
    }
}
