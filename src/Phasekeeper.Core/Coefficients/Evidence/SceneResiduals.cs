using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>
/// What scenes leave: the only measurements that zero wind, the distortion's mean and the lamp ratio come into. They hold the winds too, which both sets see alike: an orbit's mean wind is up to tens of m/s (30 m/s in one
/// view of the demo's red line), so by how much a set moves it is known to hundredths, and whether that is better is not. Where both lines shine in one row of one exposure, most of the wind drops out of their difference.
/// </summary>
internal static class SceneResiduals
{
    /// <summary>Fewest exposures from which an orbit says how scenes follow the temperature (chosen: a slope and its mean take two of them).</summary>
    public const int LeastExposures = 8;

    /// <summary>Residuals of an orbit's scenes, m/s.</summary>
    public static IEnumerable<OrbitResidual> Of(OrbitAnalysis orbit)
    {
        var scenes = orbit.Channels.Select(c => (Channel: c, Exposures: ScenePhases.Of(orbit, c))).ToArray();
        foreach (var (c, exposures) in scenes)
        {
            if (exposures.Count == 0) continue;
            var rows = exposures.Sum(e => e.Rows);
            yield return One(ResidualMeasures.ScenePhase, c.View, c.Line.Id, RobustStatistics.Median([.. exposures.SelectMany(e => e.RowMs).Where(double.IsFinite)]), rows);
            if (WithTemperature(exposures) is { } follows) yield return One(ResidualMeasures.SceneTemperature, c.View, c.Line.Id, follows, rows);
        }
        foreach (var view in orbit.Views)
        {
            var lines = scenes.Where(s => s.Channel.View == view).ToArray();
            if (lines.Length < 2) continue;
            if (Lines(view, lines[0].Exposures, lines[1].Exposures) is { } residual) yield return residual;
        }
    }

    // First line minus second, row by row of the same exposures. Few exposures see places of their own, not the orbit.
    private static OrbitResidual? Lines(string view, IReadOnlyList<ScenePhase> first, IReadOnlyList<ScenePhase> second)
    {
        var other = second.ToDictionary(e => (e.Fringe.Exposure, e.Fringe.Time));
        double[][] exposures = [.. first.Where(e => other.ContainsKey((e.Fringe.Exposure, e.Fringe.Time)))
            .Select(e => e.RowMs.Zip(other[(e.Fringe.Exposure, e.Fringe.Time)].RowMs, (a, b) => a - b).Where(double.IsFinite).ToArray()).Where(d => d.Length > 0)];
        if (exposures.Length < LeastExposures) return null;
        double[] all = [.. exposures.SelectMany(d => d)];
        return One(ResidualMeasures.GreenRed, view, null, RobustStatistics.Median(all), all.Length);
    }

    private static double? WithTemperature(IReadOnlyList<ScenePhase> all) => WithTemperature([.. all.Where(e => double.IsFinite(e.LaggedC)).Select(e => (e.LaggedC, e.MedianMs))]);

    /// <summary>The part of speeds that goes with T_lag, m/s: least-squares slope times the rms swing of T_lag; null where points are too few or T_lag does not move.</summary>
    /// <param name="points">T_lag, °C, and speed, m/s.</param>
    public static double? WithTemperature(IReadOnlyList<(double LaggedC, double Ms)> points)
    {
        if (points.Count < LeastExposures) return null;
        double temperature = points.Average(p => p.LaggedC), speed = points.Average(p => p.Ms);
        var squares = points.Sum(p => (p.LaggedC - temperature) * (p.LaggedC - temperature));
        if (!(squares > 0)) return null;
        return points.Sum(p => (p.LaggedC - temperature) * (p.Ms - speed)) / squares * Math.Sqrt(squares / points.Count);
    }

    private static OrbitResidual One(string measure, string? view, string? line, double value, int rows) => new(measure, view, line, "m/s", 1, value, value * value) { Measured = rows };
}
