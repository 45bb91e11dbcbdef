using Phasekeeper.Core.Trackers;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>Stored tracker values as points over time.</summary>
public static class TrackerPoints
{
    /// <summary>Name of a series within its tracker: view, line, channel; "value" where none applies.</summary>
    public static string NameOf(SeriesKey key)
    {
        var name = string.Join(" ", new[] { key.View, key.Line, key.Channel }.Where(part => !string.IsNullOrEmpty(part)));
        return name.Length > 0 ? name : "value";
    }

    /// <summary>State by its stored word.</summary>
    public static TrackerState StateOf(string word) => word switch
    {
        "normal" => TrackerState.Normal,
        "warning" => TrackerState.Warning,
        "critical" => TrackerState.Critical,
        _ => TrackerState.Provisional,
    };

    /// <summary>Points with 1σ; the read-out says how many points stand behind each and its state.</summary>
    public static PlotTrace Of(IReadOnlyList<TrackerRow> rows, string axis, int colour = 0) => new()
    {
        Name = rows.Count > 0 ? NameOf(rows[0].Key) : "value",
        Kind = PlotTraceKind.Points,
        Axis = axis,
        Colour = colour,
        X = [.. rows.Select(row => PlotTime.Of(row.Time))],
        Y = [.. rows.Select(row => row.Value)],
        Sigma = rows.Any(row => double.IsFinite(row.Sigma)) ? [.. rows.Select(row => row.Sigma)] : null,
        Orbit = [.. rows.Select(row => row.Orbit)],
        Note = [.. rows.Select(row => row.State == "normal" ? $"n = {row.N}" : $"n = {row.N}, {row.State}")],
    };

    /// <summary>What was expected, dashed; null where nothing was.</summary>
    public static PlotTrace? Expected(IReadOnlyList<TrackerRow> rows, string axis) => !rows.Any(row => double.IsFinite(row.Expected)) ? null : new PlotTrace
    {
        Name = "expected",
        Kind = PlotTraceKind.Line,
        Axis = axis,
        Role = PlotRole.Model,
        X = [.. rows.Select(row => PlotTime.Of(row.Time))],
        Y = [.. rows.Select(row => row.Expected)],
        Orbit = [.. rows.Select(row => row.Orbit)],
    };
}
