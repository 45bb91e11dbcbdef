namespace Phasekeeper.Packets.Xtce;

/// <summary>Concern levels of XTCE, from least to most severe.</summary>
public enum AlarmLevel : byte
{
    /// <summary>No alarm.</summary>
    Normal = 0,
    /// <summary>Watch.</summary>
    Watch = 1,
    /// <summary>Warning.</summary>
    Warning = 2,
    /// <summary>Distress.</summary>
    Distress = 3,
    /// <summary>Critical.</summary>
    Critical = 4,
    /// <summary>Severe.</summary>
    Severe = 5,
}

/// <summary>One level's bounds, in calibrated units; ±∞ where open.</summary>
/// <param name="Level">The level.</param>
/// <param name="Min">Lower bound.</param>
/// <param name="MinInclusive">True: the bound itself belongs to the alarm's band (form outside) or to the range (form inside).</param>
/// <param name="Max">Upper bound.</param>
/// <param name="MaxInclusive">As <paramref name="MinInclusive"/>.</param>
public sealed record AlarmRange(AlarmLevel Level, double Min, bool MinInclusive, double Max, bool MaxInclusive);

/// <summary>
/// StaticAlarmRanges. Form "outside" (the default): a level holds for values in (−∞, min) or (−∞, min] and (max, ∞) or [max, ∞), brackets
/// when the bound is given as inclusive; form "inside": a level holds between min and max (XTCE 1.2 schema, AlarmRangesType). The
/// most severe level that holds counts.
/// </summary>
public sealed record AlarmRanges(IReadOnlyList<AlarmRange> Ranges, bool Inside, int MinViolations)
{
    /// <summary>Level of a calibrated value.</summary>
    public AlarmLevel LevelOf(double value)
    {
        var worst = AlarmLevel.Normal;
        for (var i = 0; i < Ranges.Count; i++)
        {
            var r = Ranges[i];
            if (r.Level <= worst) continue;
            var holds = Inside
                ? (r.MinInclusive ? value >= r.Min : value > r.Min) && (r.MaxInclusive ? value <= r.Max : value < r.Max)
                : (r.MinInclusive ? value <= r.Min : value < r.Min) || (r.MaxInclusive ? value >= r.Max : value > r.Max);
            if (holds) worst = r.Level;
        }
        return worst;
    }
}

/// <summary>Alarm levels of an enumerated parameter's labels.</summary>
/// <param name="LevelOfLabel">Level a label, in the order of <see cref="EnumerationTable.Labels"/>.</param>
/// <param name="Otherwise">Level of a value without a label.</param>
/// <param name="MinViolations">Number of samples in a row before the alarm counts.</param>
public sealed record EnumerationAlarms(IReadOnlyList<AlarmLevel> LevelOfLabel, AlarmLevel Otherwise, int MinViolations);
