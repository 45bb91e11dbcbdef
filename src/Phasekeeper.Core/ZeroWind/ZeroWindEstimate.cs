using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.ZeroWind;

/// <summary>What can be said of a line's zero-wind offsets.</summary>
public enum ZeroWindStatus
{
    /// <summary>The offsets stand, with their covariance.</summary>
    Claimed,
    /// <summary>The geometry cannot tell yet; the numbers, where there are any, are not to be used.</summary>
    CannotTellYet,
}

/// <summary>What a column of latitude and local time contributes.</summary>
public enum ZeroWindColumn
{
    /// <summary>No wind seen.</summary>
    Empty,
    /// <summary>Seen by one leg: its wind and the offset cannot be told apart yet.</summary>
    OneLeg,
    /// <summary>Both legs look the same way (turning latitude): left out.</summary>
    LeftOut,
    /// <summary>Used.</summary>
    Used,
}

/// <summary>The offset of one view.</summary>
/// <param name="View">View id.</param>
/// <param name="OffsetMs">Offset of the corrected winds, m/s; NaN when no bin can tell.</param>
/// <param name="SigmaMs">1σ.</param>
public readonly record struct ZeroWindOffset(string View, double OffsetMs, double SigmaMs);

/// <summary>Zero-wind offsets of one line from the orbits of a window.</summary>
public sealed record ZeroWindEstimate
{
    /// <summary>Line id.</summary>
    public required string Line { get; init; }
    /// <summary>Claimed or not.</summary>
    public required ZeroWindStatus Status { get; init; }
    /// <summary>Why it is not claimed, a sentence each; empty when it is.</summary>
    public required IReadOnlyList<string> Reasons { get; init; }
    /// <summary>When the geometry is expected to suffice if winds go on as they came; null when it suffices, or when that cannot be said.</summary>
    public Instant? ExpectedAt { get; init; }
    /// <summary>One a view, in the order asked for.</summary>
    public required IReadOnlyList<ZeroWindOffset> Offsets { get; init; }
    /// <summary>Covariance of the offsets, (m/s)², row-major V × V: wind from day to day, measurement noise and <see cref="TrendSigmaMs"/>.</summary>
    public required IReadOnlyList<double> CovarianceM2S2 { get; init; }
    /// <summary>Part of each offset's σ that stands for a steady seasonal change, m/s.</summary>
    public required IReadOnlyList<double> TrendSigmaMs { get; init; }
    /// <summary>
    /// Information on the offsets' worst and best combination that is left when the winds are solved for, as a share of what known winds would give; 0.5 and 0.5 at best.
    /// </summary>
    public required (double Weakest, double Strongest) Information { get; init; }
    /// <summary>Bins of latitude, local time and altitude that were used.</summary>
    public required int BinsUsed { get; init; }
    /// <summary>Bins with winds.</summary>
    public required int BinsSeen { get; init; }
    /// <summary>Used columns over used and one-legged ones.</summary>
    public required double PairedShare { get; init; }
    /// <summary>Hours of local time with a used bin, of 24.</summary>
    public required int HoursUsed { get; init; }
    /// <summary>State of each column, [latitude bin · 24 + hour].</summary>
    public required IReadOnlyList<ZeroWindColumn> Columns { get; init; }
    /// <summary>σ of the bins' mean wind from day to day that was found and used, m/s, one an altitude bin; NaN where none was used.</summary>
    public required IReadOnlyList<double> DailyWindSigmaMs { get; init; }
    /// <summary>Orbits with winds in the window.</summary>
    public required int Orbits { get; init; }
    /// <summary>UTC days with winds.</summary>
    public required int Days { get; init; }
    /// <summary>Start of the first orbit; null without winds.</summary>
    public required Instant? From { get; init; }
    /// <summary>Start of the last orbit.</summary>
    public required Instant? To { get; init; }
    /// <summary>Change of a leg's local time at one latitude, hours a day; NaN when it cannot be told.</summary>
    public required double LocalTimeRateHPerDay { get; init; }

    /// <summary>1σ of the mean of the offsets, m/s.</summary>
    public double CommonSigmaMs => Math.Sqrt(CovarianceM2S2.Sum()) / Offsets.Count;

    /// <summary>1σ of the difference of the first two offsets, m/s; NaN for one view.</summary>
    public double DifferenceSigmaMs => Offsets.Count < 2 ? double.NaN : Math.Sqrt(CovarianceM2S2[0] + CovarianceM2S2[Offsets.Count + 1] - 2 * CovarianceM2S2[1]);

    /// <summary>What no amount of data changes.</summary>
    public const string YawSentence =
        "A constant yaw error that nothing reports shifts the winds of both views alike (0.01° is about 0.9 m/s), exactly as an offset common to both views does: the two cannot be told apart here. Only the difference of the views' offsets is free of it.";
}
