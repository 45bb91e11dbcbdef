using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Today;

/// <summary>The plot of the morning page: the interferometer's temperature and the thermal residual of each orbit.</summary>
public static class TodayPlot
{
    /// <summary>Adds the route.</summary>
    public static void MapTodayPlots(this IEndpointRouteBuilder plots) => plots.MapGet("/today", ([AsParameters] PlotQuery query, Stores stores, PipelineEngine engine) =>
        TypedResults.Json(Of(query.Read(), stores, PlotMission.Of(engine)), ApiJson.Options));

    private static PlotDocument Of(PlotRange range, Stores stores, MissionState mission)
    {
        var to = range.To ?? stores.Archive.LastPacketTime ?? mission.Profile.SpanStart;
        var from = range.From ?? to.AddSeconds(-TodayQueries.Hours * 3600.0);
        var axes = new List<PlotAxis>();
        var traces = new List<PlotTrace>();
        var said = new List<string>();
        if (mission.Profile.InterferometerTemperature is { } name && mission.Plan.Find(name) is { } channel)
        {
            axes.Add(new PlotAxis("temperature", "Interferometer", "°C"));
            var series = stores.Telemetry.Decimated(name, from, to, 2 * range.Columns);
            if (series.Points.Count > 0)
            {
                traces.Add(ChannelTrace.Of(channel, series, "temperature", mission, 2));
                said.Add($"Interferometer between {NumberText.Fixed(series.Points.Min(p => p.Min), 2)} and {NumberText.Fixed(series.Points.Max(p => p.Max), 2)} °C.");
            }
        }
        var info = TrackerCatalog.Find(TodayQueries.ResidualTracker)!.Info;
        axes.Add(new PlotAxis("residual", "Residual", UnitText.Of(info.Unit)));
        var residuals = stores.Trackers.List(info.Id, from, to, 10_000).Items.Where(row => double.IsFinite(row.Value)).ToList();
        traces.AddRange(residuals.GroupBy(row => row.Key).OrderBy(group => TrackerPoints.NameOf(group.Key), StringComparer.Ordinal)
            .Select(group => TrackerPoints.Of(group.Key, [.. group.Select(PlottedValue.Of)], "residual")));
        if (residuals.Count > 0) said.Add($"Thermal residual up to {NumberText.Fixed(residuals.Max(row => row.Value), 1)} m/s on {residuals.Select(row => row.Orbit).Distinct().Count()} orbits.");
        return new PlotDocument
        {
            Title = "Interferometer temperature and thermal residual",
            Summary = string.Join(" ", said),
            X = PlotAxis.UtcTime(from, to),
            Y = axes,
            Traces = traces,
            Bands = MissionMarks.Bands(mission, from, to),
            Markers = [.. MissionMarks.SetChanges(mission, from, to)],
        };
    }
}
