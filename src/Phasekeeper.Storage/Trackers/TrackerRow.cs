using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage;

/// <summary>One value of a tracker with what the statistics say of it (contract.md section 4, <c>/api/v1/trackers/{id}</c>).</summary>
public sealed record TrackerRow
{
    /// <summary>Which series.</summary>
    public required SeriesKey Key { get; init; }
    /// <summary>Orbit number.</summary>
    public required int Orbit { get; init; }
    /// <summary>Middle of the orbit's data.</summary>
    public required Instant Time { get; init; }
    /// <summary>Value; NaN when there is none.</summary>
    public required double Value { get; init; }
    /// <summary>1σ; NaN when it has none.</summary>
    public required double Sigma { get; init; }
    /// <summary>Number of points behind the value.</summary>
    public required int N { get; init; }
    /// <summary>True while orbits on which the value depends have not arrived.</summary>
    public required bool Provisional { get; init; }
    /// <summary>What the approved set and the recent orbits let expect; NaN when unknown.</summary>
    public required double Expected { get; init; }
    /// <summary>EWMA; NaN when unknown.</summary>
    public required double Ewma { get; init; }
    /// <summary>1σ of the steady EWMA; NaN when unknown.</summary>
    public double EwmaSigma { get; init; } = double.NaN;
    /// <summary>The value as charted: a phase is moved by whole periods to lie near those before it; NaN while it is not charted.</summary>
    public double Charted { get; init; } = double.NaN;
    /// <summary>Upper CUSUM; NaN when unknown.</summary>
    public required double CusumHigh { get; init; }
    /// <summary>Lower CUSUM; NaN when unknown.</summary>
    public required double CusumLow { get; init; }
    /// <summary>normal | warning | critical | provisional.</summary>
    public required string State { get; init; }
    /// <summary>Version of the program that made the value; empty for one of before it was written down.</summary>
    public string SoftwareVersion { get; init; } = "";
    /// <summary>The coefficient set of its orbit; null without one, and where a query does not ask for it (<see cref="TrackerStore.List"/> does).</summary>
    public long? CoefficientSet { get; init; }

    /// <summary>The value as Core knows it.</summary>
    public TrackerValue ToValue() => new(Key, Orbit, Time, Value, Sigma, N, Provisional);
}

/// <summary>What the statistics say of one value.</summary>
public readonly record struct TrackerStatistic(int Orbit, double Expected, double Ewma, double EwmaSigma, double Charted, double CusumHigh, double CusumLow, string State);

/// <summary>A value and what the charts say of it. NaN where there is no value.</summary>
public readonly record struct TrackerReading(SeriesKey Key, int Orbit, double Value, string State);
