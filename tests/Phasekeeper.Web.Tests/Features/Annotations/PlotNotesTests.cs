using Microsoft.Extensions.DependencyInjection;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Tests;
using Phasekeeper.Web.Features.Annotations;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Tests.Support;

namespace Phasekeeper.Web.Tests.Features.Annotations;

/// <summary>Notes on documents, without any page.</summary>
public sealed class PlotNotesTests : IDisposable
{
    private static readonly Instant Start = Instant.FromUtc(2031, 5, 9, 10);
    private readonly string folder = Directory.CreateTempSubdirectory("phasekeeper-notes-").FullName;
    private readonly Stores stores;

    public PlotNotesTests() => stores = Stores.Open(folder);

    public void Dispose()
    {
        stores.Dispose();
        TestFolder.Delete(folder);
    }

    private Task AddAsync(double fromS, double toS, string text) => stores.Database.WriteAsync(t =>
        AnnotationStore.Add(t, new() { From = Start.AddSeconds(fromS), To = Start.AddSeconds(toS), Text = text, View = "F", Actor = "kim", Time = Start }));

    private static PlotDocument Plot(PlotAxis x, params double[] at) => new()
    {
        Title = "T",
        Summary = "S.",
        X = x,
        Y = [new("y", "Residual", "m/s")],
        Traces = [new() { Name = "t", Kind = PlotTraceKind.Line, Axis = "y", X = at, Y = at }],
    };

    [Fact]
    public async Task A_plot_of_times_has_the_notes_of_its_stretch_in_order_and_in_its_summary()
    {
        await AddAsync(600, 1200, "lamp warmed up twice");
        await AddAsync(60, 60, "yaw turn ends");
        await AddAsync(9000, 9100, "elsewhere");
        var noted = PlotNotes.Of(Plot(PlotAxis.UtcTime(Start, Start.AddSeconds(3600))), stores.Annotations);
        Assert.Equal([(1, "yaw turn ends"), (2, "lamp warmed up twice")], noted.Notes.Select(n => (n.Number, n.Text)));
        Assert.Equal((PlotTime.Of(Start.AddSeconds(600)), PlotTime.Of(Start.AddSeconds(1200)), "kim", "view F"), (noted.Notes[1].From, noted.Notes[1].To, noted.Notes[1].By, noted.Notes[1].About));
        Assert.Equal("S. 2 notes of the team: 2031-05-09 10:01 – 10:01 UTC “yaw turn ends” (kim); 2031-05-09 10:10 – 10:20 UTC “lamp warmed up twice” (kim).", noted.Summary);
    }

    [Fact]
    public async Task An_axis_left_to_the_data_takes_the_notes_of_its_data()
    {
        await AddAsync(100, 200, "within");
        await AddAsync(500, 600, "behind");
        var document = Plot(PlotAxis.UtcTime(), PlotTime.Of(Start), PlotTime.Of(Start.AddSeconds(300)), double.NaN);
        Assert.Equal(["within"], PlotNotes.Of(document, stores.Annotations).Notes.Select(n => n.Text));
    }

    [Fact]
    public async Task A_plot_of_something_else_is_left_as_it_is()
    {
        await AddAsync(0, 1e6, "everywhere");
        var document = Plot(new PlotAxis("x", "Altitude", "km") { Min = 0, Max = 1e15 }, 1, 2);
        Assert.Same(document, PlotNotes.Of(document, stores.Annotations));
        var empty = Plot(PlotAxis.UtcTime());
        Assert.Same(empty, PlotNotes.Of(empty, stores.Annotations));
    }

    [Fact]
    public async Task Panels_mark_the_rows_whose_time_a_note_touches()
    {
        await AddAsync(5760 + 600, 5760 + 700, "in the second");
        var panels = new PlotPanels(["Green"], [.. Enumerable.Range(0, 3).Select(i => new PlotPanelRow($"{i}", null, null, []) { Time = new(Start.AddSeconds(5760 * i), Start.AddSeconds(5760 * i + 5759)) })], 50);
        var noted = PlotNotes.Of(Plot(new PlotAxis("x", "Minutes", "min"), 0) with { Panels = panels }, stores.Annotations);
        Assert.Equal([0, 1, 0], noted.Panels!.Rows.Select(r => r.Markers.Count));
        Assert.Equal((10, "note 1: in the second"), (noted.Panels.Rows[1].Markers[0].At, noted.Panels.Rows[1].Markers[0].Label));
    }

    [Fact]
    public async Task More_notes_than_a_plot_can_hold_are_said_to_be_left_out()
    {
        for (var i = 0; i <= PlotNotes.Most; i++) await AddAsync(i, i, $"n{i}");
        var noted = PlotNotes.Of(Plot(PlotAxis.UtcTime(Start, Start.AddSeconds(3600))), stores.Annotations);
        Assert.Equal(PlotNotes.Most, noted.Notes.Count);
        Assert.Contains("more are left out", noted.Summary, StringComparison.Ordinal);
    }
}
