namespace Phasekeeper.Core.Flags.Rules;

/// <summary>One point of a sequence that is watched for runs.</summary>
/// <param name="Position">Orbit number or other counter, rising.</param>
/// <param name="Enter">The condition is met outright.</param>
/// <param name="Stay">Met, or within the hysteresis below the limit: enough to go on.</param>
public readonly record struct RunPoint(double Position, bool Enter, bool Stay);

/// <summary>
/// Finds runs with persistence and hysteresis: a run begins with the first of <c>persistence</c> successive points that enter, goes on
/// while points stay, and ends with the last that does. A hole wider than <c>maxStep</c> between positions breaks everything: what
/// happened in it is not known.
/// </summary>
public static class RunDetector
{
    /// <summary>Index ranges (first, last) of the runs.</summary>
    public static List<(int First, int Last)> Find(IReadOnlyList<RunPoint> points, int persistence, double maxStep)
    {
        var runs = new List<(int, int)>();
        var entering = 0;
        var start = -1;
        for (var i = 0; i < points.Count; i++)
        {
            if (i > 0 && points[i].Position - points[i - 1].Position > maxStep)
            {
                if (start >= 0) runs.Add((start, i - 1));
                start = -1;
                entering = 0;
            }
            entering = points[i].Enter ? entering + 1 : 0;
            if (start >= 0)
            {
                if (points[i].Enter || points[i].Stay) continue;
                runs.Add((start, i - 1));
                start = -1;
            }
            else if (entering >= persistence) start = i - persistence + 1;
        }
        if (start >= 0) runs.Add((start, points.Count - 1));
        return runs;
    }
}
