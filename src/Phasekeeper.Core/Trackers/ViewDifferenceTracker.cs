using Phasekeeper.Core.Coefficients;

namespace Phasekeeper.Core.Trackers;

/// <summary>Lamp offset of the first view minus the second.</summary>
public sealed class ViewDifferenceTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("view-difference", "View difference", "rad", false, true,
        "Lamp offset of the profile's first view minus that of its second, for each line: what both arms share cancels, the misbehaviour of one arm stays. Known modulo one turn; series are unwrapped.",
        "One arm alone: its mount, its mirror, its part of the image.",
        "A change here with steady sums means one arm moved: look at that arm's image shift and visibility before anything else.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double Period => 2 * Math.PI;

    /// <inheritdoc/>
    public double LeastSpread => 0.01; // chosen: 5 m/s

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => 0;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Views.Count < 2) return;
        foreach (var line in orbit.Lines)
        {
            var first = orbit.Channels.FirstOrDefault(c => c.View == orbit.Views[0] && c.Line.Id == line);
            var second = orbit.Channels.FirstOrDefault(c => c.View == orbit.Views[1] && c.Line.Id == line);
            if (first is null || second is null) continue;
            if (LampOffsetTracker.Offset(orbit, first) is not { } f || LampOffsetTracker.Offset(orbit, second) is not { } s) continue;
            output.Add(null, line, Math.IEEERemainder(f.Mean - s.Mean, 2 * Math.PI), Math.Sqrt(f.Sigma * f.Sigma + s.Sigma * s.Sigma), Math.Min(f.N, s.N), orbit.NeighboursMissing);
        }
    }
}
