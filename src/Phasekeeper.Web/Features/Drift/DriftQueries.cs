using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Drift;

/// <summary>A tracker that has values, with its series.</summary>
public sealed record TrackerChoice(TrackerInfo Info, IReadOnlyList<SeriesKey> Series);

/// <summary>What the drift page reads.</summary>
public sealed class DriftQueries(Stores stores)
{
    /// <summary>Range when none is asked for.</summary>
    public const string DefaultRange = "30d";

    /// <summary>Trackers with values, in the catalogue's order; views and lines in the instrument's.</summary>
    public IReadOnlyList<TrackerChoice> Choices(MissionState mission)
    {
        string[] views = [.. mission.Instrument?.Views.Select(v => v.Id) ?? []], lines = [.. mission.Instrument?.Lines.Select(l => l.Id) ?? []];
        var series = stores.Trackers.Series().ToLookup(k => k.Tracker, StringComparer.Ordinal);
        return [.. TrackerCatalog.All.Where(t => series.Contains(t.Info.Id)).Select(t => new TrackerChoice(t.Info, [.. series[t.Info.Id].OrderBy(k => Array.IndexOf(views, k.View)).ThenBy(k => Array.IndexOf(lines, k.Line)).ThenBy(k => k.Channel, StringComparer.Ordinal)]))];
    }

    /// <summary>What is shown when nothing is chosen: the first tracker of the catalogue that has values, in up to four series.</summary>
    public static IReadOnlyList<SeriesKey> Standard(IReadOnlyList<TrackerChoice> choices) => choices.Count == 0 ? [] : [.. choices[0].Series.Take(4)];

    /// <summary>Start and end of a range that ends at mission time.</summary>
    public (Instant From, Instant To) Range(RangeWordOrZoom range)
    {
        var end = stores.Archive.LastPacketTime ?? Instant.FromUtc(2000, 1, 1);
        // Values stand at the middle of their orbit, the last of which may lie ahead of the newest packet.
        var to = range.To ?? end.AddSeconds(86_400);
        return (range.From ?? range.Word.Start(end, stores.Archive.FirstPacketTime ?? end), to);
    }

    /// <summary>Flags on a series that touch a range, those withdrawn left out.</summary>
    public IReadOnlyList<FlagRow> Flags(SeriesKey key, Instant from, Instant to)
    {
        var subject = key.Channel is null ? key.Tracker : $"{key.Tracker}:{key.Channel}";
        return [.. stores.Flags.List(from, to, 2000).Items.Where(f => f.Subject == subject && f.State != "withdrawn" && f.View == key.View && f.Line == key.Line)];
    }

    /// <summary>A series with its statistics.</summary>
    public DriftSeries Read(MissionState mission, SeriesKey key, Instant from, Instant to) => DriftSeries.Read(stores, mission, key, from, to);
}

/// <summary>A range by word, or ends chosen by hand.</summary>
public readonly record struct RangeWordOrZoom(Shared.Times.RangeWord Word, Instant? From, Instant? To);
