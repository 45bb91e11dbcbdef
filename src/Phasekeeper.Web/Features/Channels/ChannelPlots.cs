using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Orbits;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Channels;

/// <summary>The plot of telemetry channels.</summary>
public static class ChannelPlots
{
    /// <summary>Most channels in one plot.</summary>
    public const int MostChannels = 16;

    /// <summary>Range when none is asked for.</summary>
    public const string DefaultRange = "6h";

    /// <summary>Word of the layout in which channels of one unit share a panel.</summary>
    public const string SharedLayout = "unit";

    /// <summary>Maps the endpoint.</summary>
    public static void MapChannelPlots(this IEndpointRouteBuilder plots) =>
        plots.MapGet("/channels", Get).WithSummary("Telemetry channels, decimated to the plot's width.");

    private static Ok<PlotDocument> Get([AsParameters] PlotQuery query, string[] c, string? range, string? layout, Stores stores, PipelineEngine engine)
    {
        var mission = PlotMission.Of(engine);
        var asked = query.Read();
        var parameters = ChannelQueries.Parameters(mission);
        var names = c.Distinct(StringComparer.Ordinal).ToArray();
        if (names.Length > MostChannels) throw ApiProblems.BadRequest($"Found {names.Length} channels; expected at most {MostChannels} in one plot.");
        foreach (var name in names)
            if (!parameters.ContainsKey(name)) throw ApiProblems.NotFound("channel", name);
        var end = stores.Archive.LastPacketTime ?? Instant.FromUtc(2000, 1, 1);
        var to = asked.To ?? end.AddSeconds(1);
        var from = asked.From ?? RangeWord.Of(range, DefaultRange).Start(end, stores.Archive.FirstPacketTime ?? end);
        return TypedResults.Ok(Document(stores, mission, [.. names.Select(n => parameters[n])], from, to, asked.Columns, layout != SharedLayout));
    }

    /// <summary>Panels of a plot, top to bottom: channels of one unit share one, an enumeration has its own.</summary>
    public static IReadOnlyList<IReadOnlyList<ParameterInfo>> Panels(IReadOnlyList<ParameterInfo> channels, bool stacked) =>
        [.. channels.GroupBy(p => stacked || p.Labels is not null ? "name " + p.Name : "unit " + p.Unit).Select(g => g.ToArray())];

    /// <summary>Makes the plot.</summary>
    public static PlotDocument Document(Stores stores, MissionState mission, IReadOnlyList<ParameterInfo> channels, Instant from, Instant to, int columns, bool stacked)
    {
        var panels = Panels(channels, stacked);
        var traces = new List<PlotTrace>();
        var lines = new List<PlotLine>();
        var axes = new List<PlotAxis>();
        var levels = new SortedSet<string>(StringComparer.Ordinal);
        for (var p = 0; p < panels.Count; p++)
        {
            var axis = "y" + p;
            var (first, firstLine) = (traces.Count, lines.Count);
            foreach (var channel in panels[p])
            {
                var series = stores.Telemetry.Decimated(channel.Name, from, to, 2 * columns);
                levels.Add(series.Level);
                traces.Add(ChannelTrace.Of(channel, series, axis, mission, traces.Count % 8 + 1));
                // Whose limit a line is could not be told where several channels share a panel.
                if (panels[p].Count == 1) lines.AddRange(Limits(channel, axis));
            }
            axes.Add(Axis(axis, panels[p], traces[first..], lines[firstLine..]));
        }
        var flags = Flags(stores, channels, from, to);
        var points = traces.Sum(t => t.X.Count);
        return new PlotDocument
        {
            Title = channels.Count == 1 ? channels[0].Name : "Telemetry channels",
            Summary = points == 0 ? "" : Summary(levels, from, to) + (flags.Length > 0 ? " Coloured stretches: flags on these channels." : ""),
            X = PlotAxis.UtcTime(from, to),
            Y = axes,
            Traces = traces,
            Lines = lines,
            Bands = [.. ShadowBands.Of(mission, from, to), .. flags.Select(Band)],
            Markers = [.. flags.Select(f => new PlotMarker(PlotTime.Of(f.From), PlotMarkerKind.Flag, $"{f.Severity}: {f.Message}", $"/flags/{Uri.EscapeDataString(f.Id)}"))],
            EmptyText = $"No samples between {UtcText.DateAndMinute(from)} and {UtcText.DateAndMinute(to)} UTC.",
        };
    }

    private static string Summary(SortedSet<string> levels, Instant from, Instant to)
    {
        var how = levels.All(l => l == "raw") ? "Every sample is drawn."
            : levels.Contains("hours") ? "Each column of the plot shows mean, least and largest value of the hours behind it."
            : "Each column of the plot shows mean, least and largest value of the samples behind it.";
        return $"{UtcText.Range(from, to)} UTC. {how}";
    }

    private static PlotAxis Axis(string id, IReadOnlyList<ParameterInfo> channels, IReadOnlyList<PlotTrace> traces, IReadOnlyList<PlotLine> lines)
    {
        var title = channels.Count <= 2 ? string.Join(", ", channels.Select(c => c.Name)) : $"{channels.Count} channels";
        if (channels[0].Labels is not { } labels)
        {
            var (least, most) = ValueRange(traces, lines);
            return new PlotAxis(id, title, UnitText.Of(channels[0].Unit)) { Min = least, Max = most };
        }
        var ticks = labels.Entries.Where(e => e.To == e.From).Select(e => new PlotTick(e.From, e.Label)).ToArray();
        return new PlotAxis(id, title, null)
        {
            Ticks = ticks.Length > 0 ? ticks : null,
            Share = 0.6,
            Min = ticks.Length > 0 ? ticks[0].At - 0.4 : null,
            Max = ticks.Length > 0 ? ticks[^1].At + 0.4 : null,
        };
    }

    // The range is that of the values, with the limits that are near: far ones would press the values flat.
    private static (double? Min, double? Max) ValueRange(IReadOnlyList<PlotTrace> traces, IReadOnlyList<PlotLine> lines)
    {
        var values = traces.SelectMany(t => (t.Low ?? t.Y).Concat(t.High ?? t.Y)).Where(double.IsFinite).ToArray();
        if (values.Length == 0) return (null, null);
        double least = values.Min(), most = values.Max(), span = Math.Max(most - least, 1e-3 * Math.Max(Math.Abs(most), 1e-6));
        foreach (var line in lines)
            if (line.Value > values.Min() - 0.6 * span && line.Value < values.Max() + 0.6 * span) (least, most) = (Math.Min(least, line.Value), Math.Max(most, line.Value));
        return (least - 0.08 * span, most + 0.08 * span);
    }

    private static IEnumerable<PlotLine> Limits(ParameterInfo channel, string axis)
    {
        if (AlarmLimits.Of(channel) is not { } limits) yield break;
        foreach (var (value, kind, word) in new[]
        {
            (limits.NoticeLow, PlotLineKind.Reference, "watch low"), (limits.NoticeHigh, PlotLineKind.Reference, "watch high"),
            (limits.WarningLow, PlotLineKind.Warning, "warning low"), (limits.WarningHigh, PlotLineKind.Warning, "warning high"),
            (limits.CriticalLow, PlotLineKind.Critical, "critical low"), (limits.CriticalHigh, PlotLineKind.Critical, "critical high"),
        })
            if (double.IsFinite(value)) yield return new PlotLine(axis, value, kind, word);
    }

    private static PlotBand Band(FlagRow f) => new(PlotTime.Of(f.From), PlotTime.Of(f.To),
        f.Severity == "critical" ? PlotBandKind.Critical : f.Severity == "warning" ? PlotBandKind.Warning : PlotBandKind.Notice);

    private static FlagRow[] Flags(Stores stores, IReadOnlyList<ParameterInfo> channels, Instant from, Instant to)
    {
        var names = channels.Select(c => c.Name).ToHashSet(StringComparer.Ordinal);
        return [.. stores.Flags.List(from, to, 500).Items.Where(f => names.Contains(f.Subject) && f.State != "withdrawn")];
    }
}
