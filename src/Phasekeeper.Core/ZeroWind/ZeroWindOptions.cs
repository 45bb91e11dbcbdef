namespace Phasekeeper.Core.ZeroWind;

/// <summary>Limits and prior knowledge of the zero wind. All defaults are chosen; the reason stands beside each.</summary>
public sealed record ZeroWindOptions
{
    /// <summary>The defaults.</summary>
    public static ZeroWindOptions Default { get; } = new();

    /// <summary>Days of orbits that one estimate looks back on: two cycles of local time for an orbit of 50° and 565 km. This is the tracker's finite reach.</summary>
    public int WindowDays { get; init; } = 130;

    /// <summary>
    /// Least share of information on the weakest combination of offsets that is left in a bin when its u and v are solved for; 0.25 is a bin whose four looks (two views, two legs) lie
    /// at right angles. Below 0.03 (a few degrees from the turning latitude) errors grow by more than three.
    /// </summary>
    public double LeastBinInformation { get; init; } = 0.03;

    /// <summary>Least share of the columns of latitude and local time seen by one leg that must have been seen by the other too: before that, the wind's change between the legs' visits goes one way.</summary>
    public double LeastPairedShare { get; init; } = 0.9;

    /// <summary>Least number of hours of local time with a usable bin: a tide that is sampled over part of a day is not averaged out.</summary>
    public int LeastHours { get; init; } = 20;

    /// <summary>Largest 1σ that is worth a claim, m/s: above it the estimate decides nothing that the winds' own budget (some m/s) does not.</summary>
    public double LargestSigmaMs { get; init; } = 8;

    /// <summary>Least days with winds: the covariance is estimated from the days' own contributions.</summary>
    public int LeastDays { get; init; } = 20;

    /// <summary>Days over which the wind's departures are taken as correlated (triangular weights).</summary>
    public int CorrelationDays { get; init; } = 3;

    /// <summary>1σ of a steady seasonal change of u and of v, m/s per day (6 m/s in a month).</summary>
    public double TrendSigmaMsPerDay { get; init; } = 0.2;

    /// <summary>Day-to-day σ of the mean wind of a bin that weights start from, m/s; the second pass uses the one that was found in each altitude bin.</summary>
    public double FirstDailySigmaMs { get; init; } = 30;
}
