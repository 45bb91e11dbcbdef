using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Core.Trackers;

/// <summary>Dark rate at reference temperature.</summary>
public sealed class DarkRateTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("dark-rate", "Dark rate", "e-/s", true, true,
        "Mean dark signal per sample and second of the orbit's dark exposures, carried to the reference temperature by the doubling law of the coefficient set.",
        "Radiation damage of the detector (slow growth), a detector thermometer that drifts, light that leaks in.",
        "Growth is normal and can be forecast; a new dark law is due when it reaches the photon noise of the faintest rows. A jump with the Sun in view is a leak.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.Coefficients;

    /// <inheritdoc/>
    public double LeastSpread => 0.02; // chosen: 1 % of a rate of 2 e-/s

    /// <inheritdoc/>
    public double Expected(CoefficientSet set, string? view, string? line) => set.Dark.RateElectronsPerS;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Coefficients is not { } set) return;
        foreach (var c in orbit.Channels)
        {
            FringeResult[] darks = [.. orbit.Exposures(ExposureKind.Dark, c.View, c.Line.Id).Where(f => f.IntegrationS > 0)];
            if (RowAverages.Of(darks, f => Rates(set.Dark, f, f.SignalElectrons), f => Rates(set.Dark, f, f.SignalSigmaElectrons)) is { } rate)
                output.Add(c.View, c.Line.Id, rate.Mean, rate.Sigma, rate.N);
        }
    }

    // Electrons of an exposure to electrons/s at the law's reference temperature.
    private static double[] Rates(DarkLaw law, FringeResult dark, double[] electrons)
    {
        var growth = law.DoublingK == 0 || double.IsNaN(dark.DetectorC) ? 1 : Math.Pow(2, (dark.DetectorC - law.ReferenceC) / law.DoublingK);
        return [.. electrons.Select(e => e / dark.IntegrationS / growth)];
    }
}

/// <summary>Samples over the hot threshold.</summary>
public sealed class HotSamplesTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("hot-samples", "Hot samples", "count", true, true,
        "Number of detector samples that exceed the hot threshold in at least half of the orbit's dark exposures and are not yet in the bad-sample map.",
        "Radiation damage; some anneal during a bake-out.",
        "Propose the listed samples for the bad-sample map of the next coefficient set when there are more than a few on one row.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.FirstOrbits;

    /// <inheritdoc/>
    public double LeastSpread => 1; // chosen: one sample

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        foreach (var c in orbit.Channels)
        {
            var darks = orbit.Exposures(ExposureKind.Dark, c.View, c.Line.Id).Count();
            if (darks > 0) output.Add(c.View, c.Line.Id, Persistent(orbit, c).Count, double.NaN, darks);
        }
    }

    /// <summary>The samples counted, ordered by row and sample: proposals for the bad-sample map.</summary>
    public static IReadOnlyList<BadSample> Persistent(OrbitAnalysis orbit, OpticalChannel channel)
    {
        if (orbit.Input.Instrument is not { } instrument || orbit.Input.Coefficients is not { } set) return [];
        FringeResult[] darks = [.. orbit.Exposures(ExposureKind.Dark, channel.View, channel.Line.Id)];
        var known = set.BadSamples.Where(b => b.View == channel.View && b.Line == channel.Line.Id).Select(b => b.Row * instrument.Samples + b.Sample).ToHashSet();
        return [.. darks.SelectMany(f => f.HotSamples.Distinct()).GroupBy(i => i)
            .Where(g => 2 * g.Count() >= darks.Length && !known.Contains(g.Key))
            .OrderBy(g => g.Key)
            .Select(g => new BadSample(channel.View, channel.Line.Id, g.Key / instrument.Samples, g.Key % instrument.Samples))];
    }
}
