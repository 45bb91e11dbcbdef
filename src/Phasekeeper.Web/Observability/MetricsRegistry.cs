using System.Collections.Concurrent;
using System.Diagnostics.Metrics;

namespace Phasekeeper.Web.Observability;

/// <summary>One exported number: a metric's name, help and kind, one set of labels, and its value.</summary>
public sealed record MetricSample(string Name, string Help, bool IsCounter, IReadOnlyList<KeyValuePair<string, string>> Labels, double Value);

/// <summary>
/// Collects what System.Diagnostics.Metrics instruments report, for /metrics. Listens to meters whose name begins with
/// "Phasekeeper" and to the runtime's and the web server's own. A histogram is exported as its sum and count.
/// </summary>
public sealed class MetricsRegistry : IDisposable
{
    private static readonly string[] MeterPrefixes = ["Phasekeeper", "System.Runtime", "Microsoft.AspNetCore.Hosting", "Microsoft.AspNetCore.Server.Kestrel"];

    // A run-away label must not eat the memory: series beyond this number are dropped and counted.
    private const int LargestNumberOfSeries = 2000;

    private readonly MeterListener listener = new();
    private readonly ConcurrentDictionary<string, Series> series = new(StringComparer.Ordinal);
    private long dropped;

    /// <summary>Starts listening.</summary>
    public MetricsRegistry()
    {
        listener.InstrumentPublished = (instrument, own) =>
        {
            if (MeterPrefixes.Any(prefix => instrument.Meter.Name.StartsWith(prefix, StringComparison.Ordinal))) own.EnableMeasurementEvents(instrument);
        };
        listener.SetMeasurementEventCallback<byte>((instrument, value, tags, _) => Record(instrument, value, tags));
        listener.SetMeasurementEventCallback<short>((instrument, value, tags, _) => Record(instrument, value, tags));
        listener.SetMeasurementEventCallback<int>((instrument, value, tags, _) => Record(instrument, value, tags));
        listener.SetMeasurementEventCallback<long>((instrument, value, tags, _) => Record(instrument, value, tags));
        listener.SetMeasurementEventCallback<float>((instrument, value, tags, _) => Record(instrument, value, tags));
        listener.SetMeasurementEventCallback<double>((instrument, value, tags, _) => Record(instrument, value, tags));
        listener.Start();
    }

    /// <summary>The present values, ordered by name and labels.</summary>
    public IReadOnlyList<MetricSample> Read()
    {
        listener.RecordObservableInstruments();
        var samples = series.Values.SelectMany(one => one.Samples())
            .Append(new("phasekeeper_metrics_dropped_series_total", "Measurements not exported because too many label sets exist.", true, [], Interlocked.Read(ref dropped)));
        return [.. samples.OrderBy(sample => sample.Name, StringComparer.Ordinal)];
    }

    /// <inheritdoc/>
    public void Dispose() => listener.Dispose();

    private void Record(Instrument instrument, double value, ReadOnlySpan<KeyValuePair<string, object?>> tags)
    {
        var labels = new KeyValuePair<string, string>[tags.Length];
        for (var i = 0; i < tags.Length; i++) labels[i] = new(tags[i].Key, tags[i].Value?.ToString() ?? "");
        Array.Sort(labels, (a, b) => string.CompareOrdinal(a.Key, b.Key));
        var key = instrument.Meter.Name + "\n" + instrument.Name + "\n" + string.Join('\n', labels.Select(label => label.Key + "=" + label.Value));
        if (!series.TryGetValue(key, out var one))
        {
            if (series.Count >= LargestNumberOfSeries) { Interlocked.Increment(ref dropped); return; }
            one = series.GetOrAdd(key, _ => new Series(instrument, labels));
        }
        one.Add(value);
    }

    private sealed class Series(Instrument instrument, KeyValuePair<string, string>[] labels)
    {
        private readonly string name = PrometheusText.NameOf(instrument.Name, instrument.Unit);
        private readonly string help = instrument.Description ?? instrument.Name;
        private readonly string kind = instrument.GetType().Name;
        private readonly Lock gate = new();
        private double value;
        private long count;

        // Observable instruments and gauges report the whole value; counters report what is added.
        private bool ReportsTotals => kind.StartsWith("Observable", StringComparison.Ordinal) || kind.StartsWith("Gauge", StringComparison.Ordinal);

        public void Add(double measured)
        {
            lock (gate)
            {
                value = ReportsTotals ? measured : value + measured;
                count++;
            }
        }

        public IEnumerable<MetricSample> Samples()
        {
            double valueNow;
            long countNow;
            lock (gate) (valueNow, countNow) = (value, count);
            if (kind.StartsWith("Histogram", StringComparison.Ordinal))
                return [new(name + "_sum", help + " (sum)", true, labels, valueNow), new(name + "_count", help + " (count)", true, labels, countNow)];
            var isCounter = kind.StartsWith("Counter", StringComparison.Ordinal) || kind.StartsWith("ObservableCounter", StringComparison.Ordinal);
            return [new(isCounter ? name + "_total" : name, help, isCounter, labels, valueNow)];
        }
    }
}
