using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.Channels;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>The evidence of a flag: what its rule looked at, before, during and after, with the limit that was left.</summary>
public static class FlagPlot
{
    // Chosen: the newest orbit's value stands up to an orbit beyond the newest packet.
    private const double AfterLastS = 2 * 3600;

    /// <summary>Adds the route.</summary>
    public static void MapFlagPlots(this IEndpointRouteBuilder plots) => plots.MapGet("/flags/{id}", (string id, [AsParameters] PlotQuery query, Stores stores, PipelineEngine engine) =>
        TypedResults.Json(Of(stores.Flags.Get(id) ?? throw ApiProblems.NotFound("flag", id), query.Read(), stores, PlotMission.Of(engine)), ApiJson.Options));

    /// <summary>The plot in the window of its evidence, or in the range asked for.</summary>
    private static PlotDocument Of(FlagRow flag, PlotRange range, Stores stores, MissionState mission)
    {
        var evidence = FlagJson.Read(flag).Evidence;
        var own = Window(evidence, stores.Archive.FirstPacketTime, stores.Archive.LastPacketTime);
        var (from, to) = (range.From ?? own.From, range.To ?? own.To);
        var kind = flag.Severity switch { "critical" => PlotBandKind.Critical, "warning" => PlotBandKind.Warning, _ => PlotBandKind.Notice };
        var document = new PlotDocument
        {
            Title = $"Evidence: {flag.Message}",
            Summary = $"Flagged: {UtcText.Range(flag.From, flag.To)} UTC.",
            X = PlotAxis.UtcTime(from, to),
            Y = [],
            Traces = [],
            Bands = [.. MissionMarks.Bands(mission, from, to), new PlotBand(PlotTime.Of(flag.From), PlotTime.Of(flag.To), kind, "flagged")],
            Markers = [.. MissionMarks.SetChanges(mission, from, to)],
        };
        document = evidence.Series is { } series ? Tracker(document, series, stores, from, to, range.Columns)
            : evidence.Channel is { } channel ? Channel(document, channel, stores, mission, range)
            : Packets(document, stores);
        var unit = evidence.Series is { } of ? TrackerCatalog.Find(of.Tracker)?.Info.Unit : evidence.Channel is { } name ? mission.Plan.Find(name)?.Unit : null;
        // A limit in σ of a chart has no place on an axis of the values. What is without a unit may say so with "1" or not at all.
        return flag.Limit is { } limit && (evidence.Series is not null || evidence.Channel is not null) && UnitText.Of(unit) == UnitText.Of(flag.Unit)
            ? document with { Lines = [new PlotLine("y", limit, flag.Severity == "critical" ? PlotLineKind.Critical : PlotLineKind.Warning, $"limit {NumberText.WithUnit(limit, flag.Unit)}")] }
            : document;
    }

    /// <summary>The window of the evidence, not beyond the data: that of a flag which stands for years would reach years further.</summary>
    public static (Instant From, Instant To) Window(FlagEvidence evidence, Instant? firstPacket, Instant? lastPacket)
    {
        ArgumentNullException.ThrowIfNull(evidence);
        return (firstPacket is { } first && first > evidence.PlotFrom ? first : evidence.PlotFrom, lastPacket?.AddSeconds(AfterLastS) is { } last && last < evidence.PlotTo ? last : evidence.PlotTo);
    }

    private static PlotDocument Tracker(PlotDocument document, SeriesKey series, Stores stores, Instant from, Instant to, int columns)
    {
        var info = TrackerCatalog.Find(series.Tracker)?.Info;
        // A flag may stand for years.
        var rows = PlotThinning.Extremes(stores.Trackers.Charted(series, from, to), columns, r => r.Value, r => r.State, out var group);
        var traces = new List<PlotTrace> { TrackerPoints.Of(series, rows, "y", 1) };
        if (TrackerPoints.Expected(rows, "y") is { } expected) traces.Add(expected);
        return document with { Summary = document.Summary + PlotThinning.Words(group), Y = [new PlotAxis("y", info?.Title ?? series.Tracker, UnitText.Of(info?.Unit))], Traces = traces };
    }

    private static PlotDocument Channel(PlotDocument document, string channel, Stores stores, MissionState mission, PlotRange range)
    {
        var series = stores.Telemetry.Decimated(channel, PlotTime.ToInstant(document.X.Min!.Value), PlotTime.ToInstant(document.X.Max!.Value), 2 * range.Columns);
        // A channel that the definition no longer has keeps its samples, but nobody knows its unit.
        if (mission.Plan.Find(channel) is not { } known || series.Points.Count == 0) return document with { Y = [new PlotAxis("y", channel, null)] };
        return document with { Y = [new PlotAxis("y", channel, UnitText.Of(known.Unit))], Traces = [ChannelTrace.Of(known, series, "y", mission, 1)] };
    }

    /// <summary>A matter of the data themselves: packets an hour by application process.</summary>
    private static PlotDocument Packets(PlotDocument document, Stores stores)
    {
        var coverage = stores.Streams.Coverage(PlotTime.ToInstant(document.X.Min!.Value), PlotTime.ToInstant(document.X.Max!.Value));
        return document with
        {
            Y = [new PlotAxis("y", "Packets", "1/h")],
            Traces = [.. coverage.GroupBy(row => row.Apid).OrderBy(group => group.Key).Select(group => new PlotTrace
            {
                Name = $"APID {group.Key}",
                Kind = PlotTraceKind.Steps,
                Axis = "y",
                X = [.. group.Select(row => PlotTime.Of(Hour.Start(row.Hour)))],
                Y = [.. group.Select(row => (double)row.Count)],
            })],
        };
    }
}
