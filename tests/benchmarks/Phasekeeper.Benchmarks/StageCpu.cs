using System.Diagnostics;
using System.Diagnostics.Metrics;

namespace Phasekeeper.Benchmarks;

/// <summary>
/// Processor time by pipeline stage: at the end of each unit of a stage, the time that the process has used since the end of the unit before goes to it.
/// Right while the stages run one after the other, as the engine runs them.
/// </summary>
internal sealed class StageCpu : IDisposable
{
    private readonly MeterListener listener = new();
    private readonly SortedDictionary<string, double> seconds = new(StringComparer.Ordinal);
    private readonly Process process = Process.GetCurrentProcess();
    private TimeSpan last;

    public StageCpu()
    {
        last = Now();
        listener.InstrumentPublished = (instrument, self) =>
        {
            if (instrument.Name == "phasekeeper_stage_duration") self.EnableMeasurementEvents(instrument);
        };
        listener.SetMeasurementEventCallback<double>((_, _, tags, _) => Add((string)tags[0].Value!));
        listener.Start();
    }

    /// <summary>Seconds so far.</summary>
    public IReadOnlyDictionary<string, double> Seconds => seconds;

    /// <summary>What was used since the last unit belongs to something else (making packets, intake).</summary>
    public void Add(string what)
    {
        var now = Now();
        seconds[what] = seconds.GetValueOrDefault(what) + (now - last).TotalSeconds;
        last = now;
    }

    private TimeSpan Now()
    {
        process.Refresh();
        return process.TotalProcessorTime;
    }

    public void Dispose()
    {
        listener.Dispose();
        process.Dispose();
    }
}
