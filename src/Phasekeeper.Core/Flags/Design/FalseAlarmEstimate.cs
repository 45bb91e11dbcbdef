namespace Phasekeeper.Core.Flags.Design;

/// <summary>Expected number of flags a month that a healthy instrument would raise.</summary>
/// <param name="Rule">Rule id.</param>
/// <param name="Series">Number of series that it watches.</param>
/// <param name="PerSeries">False flags a month and series.</param>
/// <param name="PerMonth">False flags a month of all its series, any severity.</param>
/// <param name="CriticalPerMonth">Of these: critical.</param>
/// <param name="How">How it was computed, in words.</param>
public sealed record FalseAlarmEstimate(string Rule, int Series, double PerSeries, double PerMonth, double CriticalPerMonth, string How)
{
    /// <summary>A rule whose ground is a fact (a missing packet, a failed checksum), not a noisy number.</summary>
    public static FalseAlarmEstimate None(string rule, int series, string why) => new(rule, series, 0, 0, 0, why);
}
