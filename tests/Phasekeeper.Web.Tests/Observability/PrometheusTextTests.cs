using System.Diagnostics.Metrics;
using Phasekeeper.Web.Observability;

namespace Phasekeeper.Web.Tests.Observability;

public sealed class PrometheusTextTests
{
    [Fact]
    public void A_counter_of_a_Phasekeeper_meter_is_added_up_per_label_set()
    {
        using var meter = new Meter("Phasekeeper.Test");
        using var registry = new MetricsRegistry();
        var counter = meter.CreateCounter<long>("phasekeeper.test.packets", "{packet}", "Packets of this test.");
        counter.Add(3, new KeyValuePair<string, object?>("source", "a \"quoted\" name"));
        counter.Add(4, new KeyValuePair<string, object?>("source", "a \"quoted\" name"));
        var text = PrometheusText.Write(registry.Read());
        Assert.Contains("# TYPE phasekeeper_test_packets_total counter\nphasekeeper_test_packets_total{source=\"a \\\"quoted\\\" name\"} 7\n", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_histogram_is_written_as_sum_and_count_and_a_gauge_as_its_newest_value()
    {
        using var meter = new Meter("Phasekeeper.Test");
        using var registry = new MetricsRegistry();
        var duration = meter.CreateHistogram<double>("phasekeeper.test.duration", "s");
        duration.Record(0.5);
        duration.Record(0.25);
        meter.CreateObservableGauge("phasekeeper.test.pending", () => 9);
        var text = PrometheusText.Write(registry.Read());
        Assert.Contains("phasekeeper_test_duration_seconds_sum 0.75\n", text, StringComparison.Ordinal);
        Assert.Contains("phasekeeper_test_duration_seconds_count 2\n", text, StringComparison.Ordinal);
        Assert.Contains("# TYPE phasekeeper_test_pending gauge\nphasekeeper_test_pending 9\n", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Other_meters_are_not_exported()
    {
        using var meter = new Meter("Elsewhere");
        using var registry = new MetricsRegistry();
        meter.CreateCounter<long>("elsewhere.count").Add(1);
        Assert.DoesNotContain("elsewhere", PrometheusText.Write(registry.Read()), StringComparison.Ordinal);
    }
}
