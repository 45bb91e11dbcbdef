using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>One point of a tracker's series: one orbit.</summary>
public readonly record struct SeriesPoint
{
    /// <summary>Orbit number.</summary>
    public required int Orbit { get; init; }
    /// <summary>Middle of the orbit's data.</summary>
    public required Instant Time { get; init; }
    /// <summary>Value in the tracker's unit.</summary>
    public required double Value { get; init; }
    /// <summary>1σ, same unit; NaN when it has none.</summary>
    public required double Sigma { get; init; }
    /// <summary>Number of points behind the value.</summary>
    public int N { get; init; }
    /// <summary>Value expected from the coefficient set (or reference), same unit; NaN when there is none.</summary>
    public double Expected { get; init; }
    /// <summary>EWMA of the values, tracker's unit; NaN when there is none.</summary>
    public double Ewma { get; init; }
    /// <summary>Steady 1σ of the EWMA, autocorrelation included, tracker's unit; NaN when there is none.</summary>
    public double EwmaSigma { get; init; }
    /// <summary>Upper CUSUM in units of σ_run = σ·√((1+r)/(1−r)), r the series' lag-1 correlation; ≥ 0; NaN when there is none.</summary>
    public double CusumHigh { get; init; }
    /// <summary>Lower CUSUM, as <see cref="CusumHigh"/>.</summary>
    public double CusumLow { get; init; }
    /// <summary>True while orbits on which the value depends have not arrived.</summary>
    public bool Provisional { get; init; }

    /// <summary>A plain point without charts.</summary>
    public static SeriesPoint Of(int orbit, Instant time, double value, double sigma = double.NaN, double expected = double.NaN) => new()
    {
        Orbit = orbit,
        Time = time,
        Value = value,
        Sigma = sigma,
        Expected = expected,
        Ewma = double.NaN,
        EwmaSigma = double.NaN,
        CusumHigh = double.NaN,
        CusumLow = double.NaN,
    };
}

/// <summary>A tracker's series over a stretch, one point an orbit, in rising order of orbit; orbits without a value are left out.</summary>
/// <param name="Key">Which series.</param>
/// <param name="Unit">Unit of the values; "1" for a ratio.</param>
/// <param name="Points">Points in rising order of orbit.</param>
public sealed record SeriesHistory(SeriesKey Key, string Unit, IReadOnlyList<SeriesPoint> Points)
{
    /// <summary>Subject of a flag on this series.</summary>
    public string Subject => Key.Channel is null ? Key.Tracker : $"{Key.Tracker}:{Key.Channel}";
}
