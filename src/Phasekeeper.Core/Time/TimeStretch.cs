namespace Phasekeeper.Core.Time;

/// <summary>A stretch of time; whether its ends belong to it is told where it is used.</summary>
public readonly record struct TimeStretch(Instant Start, Instant End)
{
    /// <summary>Length, s.</summary>
    public double Seconds => End - Start;

    /// <summary>True from <see cref="Start"/> to <see cref="End"/>, both included.</summary>
    public bool Contains(Instant time) => time >= Start && time <= End;

    /// <summary>The stretches in order, those that touch or overlap made one.</summary>
    public static IReadOnlyList<TimeStretch> Union(IEnumerable<TimeStretch> stretches)
    {
        var merged = new List<TimeStretch>();
        foreach (var s in stretches.OrderBy(s => s.Start).ThenBy(s => s.End))
        {
            if (merged.Count == 0 || s.Start > merged[^1].End) merged.Add(s);
            else if (s.End > merged[^1].End) merged[^1] = new(merged[^1].Start, s.End);
        }
        return merged;
    }
}
