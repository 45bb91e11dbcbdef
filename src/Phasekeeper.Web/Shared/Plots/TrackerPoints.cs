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

    /// <summary>Points with 1σ; the read-out says how many points stand behind each and its state.</summary>
    public static PlotTrace Of(SeriesKey key, IReadOnlyList<PlottedValue> rows, string axis, int colour = 0) => new()
    {
        Name = NameOf(key),
        Kind = PlotTraceKind.Points,
        Axis = axis,
        Colour = colour,
        X = [.. rows.Select(row => PlotTime.Of(row.Time))],
        Y = [.. rows.Select(row => row.Value)],
        Sigma = rows.Any(row => double.IsFinite(row.Sigma)) ? [.. rows.Select(row => row.Sigma)] : null,
        Orbit = [.. rows.Select(row => row.Orbit)],
        Note = [.. rows.Select(row => row.State == TrackerState.Normal ? $"n = {row.N}" : $"n = {row.N}, {row.State.ToString().ToLowerInvariant()}")],
    };

    /// <summary>What was expected, dashed; null where nothing was.</summary>
    public static PlotTrace? Expected(IReadOnlyList<PlottedValue> rows, string axis) => !rows.Any(row => double.IsFinite(row.Expected)) ? null : new PlotTrace
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
