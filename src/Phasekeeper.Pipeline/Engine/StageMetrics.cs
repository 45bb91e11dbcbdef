using System.Diagnostics;
using System.Diagnostics.Metrics;

namespace Phasekeeper.Pipeline.Engine;

/// <summary>How long each stage takes a unit; exported with the program's other metrics.</summary>
internal static class StageMetrics
{
    private static readonly Meter Meter = new("Phasekeeper.Pipeline");
    private static readonly Histogram<double> Duration = Meter.CreateHistogram<double>("phasekeeper_stage_duration", "s", "Time that a stage takes for one unit of work.");

    /// <summary>Runs a unit of a stage and notes its time.</summary>
    public static async Task<T> MeasureAsync<T>(string stage, Func<Task<T>> unit)
    {
        var start = Stopwatch.GetTimestamp();
        try
        {
            return await unit().ConfigureAwait(false);
        }
        finally
        {
            Duration.Record(Stopwatch.GetElapsedTime(start).TotalSeconds, new KeyValuePair<string, object?>("stage", stage));
        }
    }

    /// <summary>As <see cref="MeasureAsync{T}"/>, for a unit without a result.</summary>
    public static Task MeasureAsync(string stage, Func<Task> unit) => MeasureAsync(stage, async () =>
    {
        await unit().ConfigureAwait(false);
        return true;
    });
}
