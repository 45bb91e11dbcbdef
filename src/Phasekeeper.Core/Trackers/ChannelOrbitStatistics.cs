namespace Phasekeeper.Core.Trackers;

/// <summary>One telemetry channel over one orbit.</summary>
public sealed record ChannelOrbitStatistics
{
    /// <summary>Bins of an orbit for the phase-folded profile (chosen: 48 bins of 2 minutes resolve an eclipse edge).</summary>
    public const int ProfileBins = 48;

    /// <summary>Parameter name.</summary>
    public required string Channel { get; init; }
    /// <summary>Unit of the values; empty = none.</summary>
    public string Unit { get; init; } = "";
    /// <summary>Number of samples.</summary>
    public required int Count { get; init; }
    /// <summary>Smallest value.</summary>
    public required double Min { get; init; }
    /// <summary>Mean of the samples.</summary>
    public required double Mean { get; init; }
    /// <summary>Largest value.</summary>
    public required double Max { get; init; }
    /// <summary>Standard deviation of the samples; NaN below two.</summary>
    public double StandardDeviation { get; init; } = double.NaN;
    /// <summary>Fraction of the samples that are "on" (a two-state channel's larger value); NaN for a channel that has no states.</summary>
    public double DutyCycle { get; init; } = double.NaN;
    /// <summary>Changes of state over the orbit; negative = the channel has no states.</summary>
    public int StateChanges { get; init; } = -1;
    /// <summary>
    /// Mean value in each of <see cref="ProfileBins"/> equal bins of orbit phase (0 at the ascending node); NaN where a bin has no sample. Empty
    /// when not made.
    /// </summary>
    public double[] Profile { get; init; } = [];
}
