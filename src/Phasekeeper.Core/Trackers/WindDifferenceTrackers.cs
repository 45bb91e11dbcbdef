using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Difference of winds where both lines shine.</summary>
public sealed class GreenRedTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("green-red-difference", "Wind difference of the lines", "m/s", true, false,
        "Median difference of the line-of-sight winds of the profile's first and second line (green minus red) in the rows of the same exposure where both gave a wind.",
        "An error of one line alone: its zero wind, its lamp ratio, its filter. True differences are small where both lines come from the same air.",
        "A lasting offset is a case for the zero wind or lamp ratio of one line; look at lamp offset per line to tell which.");

    /// <inheritdoc/>
    public TrackerSource Source => TrackerSource.Winds;

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 1; // chosen: 1 m/s

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Lines.Count < 2) return;
        foreach (var view in orbit.Views)
        {
            List<double> differences = [];
            foreach (var place in orbit.Input.Winds.Where(w => w.View == view).GroupBy(w => (w.Time, Math.Round(w.AltitudeKm, 1))))
            {
                double[] first = [.. place.Where(w => w.Line == orbit.Lines[0]).Select(w => w.WindMs)];
                double[] second = [.. place.Where(w => w.Line == orbit.Lines[1]).Select(w => w.WindMs)];
                if (first.Length == 1 && second.Length == 1) differences.Add(first[0] - second[0]);
            }
            if (differences.Count > 0) output.Add(view, null, RobustStatistics.Median(differences), RobustStatistics.MedianSigma(differences), differences.Count);
        }
    }
}

/// <summary>Difference of the zonal mean wind on the two legs.</summary>
public sealed class AscendingDescendingTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("ascending-descending-difference", "Wind difference of the legs", "m/s", false, true,
        "Mean eastward wind on the ascending leg minus that on the descending leg, averaged over bins of 10 km altitude and 15° latitude that both legs cover.",
        "Tides (the legs are at different local times), and every error that changes sign with the direction of flight: yaw, zero wind.",
        "Expect the tide of the season. A step on one orbit is attitude; a slow change that follows local time is the atmosphere.");

    /// <inheritdoc/>
    public TrackerSource Source => TrackerSource.Winds;

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.RecentOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 2; // chosen: the precision asked of a wind

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var line in orbit.Lines)
        {
            List<double> differences = [], variances = [];
            foreach (var bin in orbit.Input.Winds.Where(w => w.View is null && w.Line == line && w.SigmaMs > 0).GroupBy(w => (Math.Floor(w.AltitudeKm / 10), Math.Floor(w.LatitudeDeg / 15))))
            {
                OrbitWind[] up = [.. bin.Where(w => w.Ascending)], down = [.. bin.Where(w => !w.Ascending)];
                if (up.Length == 0 || down.Length == 0) continue;
                var (a, aSigma) = Moments.WeightedMean([.. up.Select(w => w.WindMs)], [.. up.Select(w => w.SigmaMs)]);
                var (d, dSigma) = Moments.WeightedMean([.. down.Select(w => w.WindMs)], [.. down.Select(w => w.SigmaMs)]);
                differences.Add(a - d);
                variances.Add(aSigma * aSigma + dSigma * dSigma);
            }
            if (differences.Count == 0) continue;
            var noise = Math.Sqrt(variances.Sum()) / differences.Count;
            var scatter = differences.Count < 3 ? 0 : Moments.StandardDeviation(differences) / Math.Sqrt(differences.Count);
            output.Add(null, line, Moments.Mean(differences), Math.Max(noise, scatter), differences.Count);
        }
    }
}
