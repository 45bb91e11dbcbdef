using System.Text.Json;
using Phasekeeper.Core.Time;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Tests.Shared.Plots;

public sealed class PlotDocumentTests
{
    private static PlotTrace Line(double[] x, double[] y) => new() { Name = "t", Kind = PlotTraceKind.Line, Axis = "y", X = x, Y = y };

    [Fact]
    public void A_document_is_sent_with_words_and_nulls()
    {
        var document = new PlotDocument
        {
            Title = "T",
            Summary = "S",
            X = PlotAxis.UtcTime(),
            Y = [new("y", "Residual", "m/s")],
            Traces = [Line([0, 1], [1, double.NaN])],
            Markers = [new(0, PlotMarkerKind.SetChange, "set 2")],
        };
        var json = JsonSerializer.SerializeToElement(document, ApiJson.Options);
        Assert.Equal("time", json.GetProperty("x").GetProperty("kind").GetString());
        Assert.Equal("[1,null]", json.GetProperty("traces")[0].GetProperty("y").GetRawText());
        Assert.Equal("setChange", json.GetProperty("markers")[0].GetProperty("kind").GetString());
    }

    [Fact]
    public void Places_on_the_time_axis_come_back_as_the_same_moment()
    {
        var time = Instant.FromUtc(2031, 3, 1, 12, 30, 15.25);
        Assert.Equal(1_930_134_615_250, PlotTime.Of(time)); // date -u -d '2031-03-01 12:30:15.25' +%s%3N
        Assert.Equal(time, PlotTime.ToInstant(PlotTime.Of(time)));
    }

    [Fact]
    public void Reduction_keeps_every_peak_and_the_mean_of_each_column()
    {
        var x = Enumerable.Range(0, 10_000).Select(i => (double)i).ToArray();
        var y = x.Select(v => Math.Sin(v / 300)).ToArray();
        y[4_321] = 50;
        y[7_777] = -40;
        var reduced = MinMaxDecimator.Reduce(Line(x, y), 100);
        Assert.Equal(100, reduced.X.Count);
        Assert.Equal(50, reduced.High!.Max());
        Assert.Equal(-40, reduced.Low!.Min());
        Assert.Equal(y[..100].Average(), reduced.Y[0], 12);
    }

    [Fact]
    public void A_column_without_numbers_stays_a_gap()
    {
        var x = Enumerable.Range(0, 1_000).Select(i => (double)i).ToArray();
        var y = x.Select(v => v is >= 500 and < 600 ? double.NaN : v).ToArray();
        var reduced = MinMaxDecimator.Reduce(Line(x, y), 10);
        Assert.True(double.IsNaN(reduced.Y[5]));
        Assert.Equal(9, reduced.Y.Count(double.IsFinite));
    }

    [Fact]
    public void A_short_series_is_left_alone()
    {
        var line = Line([0, 1, 2], [3, 4, 5]);
        Assert.Same(line, MinMaxDecimator.Reduce(line, 3));
    }
}
