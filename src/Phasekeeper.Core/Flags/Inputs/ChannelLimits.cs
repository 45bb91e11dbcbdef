namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>
/// Alarm ranges of a channel by severity; a bound of NaN is not set. Taken over from the telemetry definition:
/// watch → notice, warning and distress → warning, critical and severe → critical.
/// </summary>
public sealed record ChannelLimits
{
    /// <summary>Below this: notice.</summary>
    public double NoticeLow { get; init; } = double.NaN;
    /// <summary>Above this: notice.</summary>
    public double NoticeHigh { get; init; } = double.NaN;
    /// <summary>Below this: warning.</summary>
    public double WarningLow { get; init; } = double.NaN;
    /// <summary>Above this: warning.</summary>
    public double WarningHigh { get; init; } = double.NaN;
    /// <summary>Below this: critical.</summary>
    public double CriticalLow { get; init; } = double.NaN;
    /// <summary>Above this: critical.</summary>
    public double CriticalHigh { get; init; } = double.NaN;
    /// <summary>Severity of labels of an enumerated channel.</summary>
    public IReadOnlyDictionary<string, FlagSeverity> Labels { get; init; } = new Dictionary<string, FlagSeverity>();

    /// <summary>Low and high bound of a severity.</summary>
    public (double Low, double High) Of(FlagSeverity severity) => severity switch
    {
        FlagSeverity.Notice => (NoticeLow, NoticeHigh),
        FlagSeverity.Warning => (WarningLow, WarningHigh),
        _ => (CriticalLow, CriticalHigh),
    };

    /// <summary>True when no bound and no label is set.</summary>
    public bool IsEmpty => double.IsNaN(NoticeLow) && double.IsNaN(NoticeHigh) && double.IsNaN(WarningLow) && double.IsNaN(WarningHigh)
        && double.IsNaN(CriticalLow) && double.IsNaN(CriticalHigh) && Labels.Count == 0;

    /// <summary>False when no sample between two values can be out of limits; labels are not told by values, so with limits on labels any sample can.</summary>
    /// <param name="min">Least value; NaN when there is none.</param>
    /// <param name="max">Largest value; NaN when there is none.</param>
    public bool CanBeLeftBy(double min, double max) =>
        Labels.Count > 0 || min < NoticeLow || min < WarningLow || min < CriticalLow || max > NoticeHigh || max > WarningHigh || max > CriticalHigh;

    /// <summary>Severity of an alarm level of the telemetry definition (watch, warning, distress, critical, severe); null for normal.</summary>
    public static FlagSeverity? SeverityOf(string level) => level.ToLowerInvariant() switch
    {
        "normal" => null,
        "watch" => FlagSeverity.Notice,
        "warning" or "distress" => FlagSeverity.Warning,
        "critical" or "severe" => FlagSeverity.Critical,
        _ => throw new ArgumentException($"Found the alarm level '{level}'; expected normal, watch, warning, distress, critical or severe.", nameof(level)),
    };

    /// <summary>
    /// Limits with one more range of the definition added: the bounds outside of which <paramref name="level"/> begins (NaN = open).
    /// Where two levels share a severity the stricter bound stands.
    /// </summary>
    public ChannelLimits With(string level, double low, double high)
    {
        static double Low(double a, double b) => double.IsNaN(a) ? b : double.IsNaN(b) ? a : Math.Max(a, b);
        static double High(double a, double b) => double.IsNaN(a) ? b : double.IsNaN(b) ? a : Math.Min(a, b);
        return SeverityOf(level) switch
        {
            null => this,
            FlagSeverity.Notice => this with { NoticeLow = Low(NoticeLow, low), NoticeHigh = High(NoticeHigh, high) },
            FlagSeverity.Warning => this with { WarningLow = Low(WarningLow, low), WarningHigh = High(WarningHigh, high) },
            _ => this with { CriticalLow = Low(CriticalLow, low), CriticalHigh = High(CriticalHigh, high) },
        };
    }

    /// <summary>Limits with the severity of one more label.</summary>
    public ChannelLimits WithLabel(string label, string level) => SeverityOf(level) is not { } severity ? this
        : this with { Labels = new SortedDictionary<string, FlagSeverity>(Labels.ToDictionary(), StringComparer.Ordinal) { [label] = severity } };
}
