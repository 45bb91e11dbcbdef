using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>
/// What scenes leave: the only measurements that zero wind, the distortion's mean and the lamp ratio come into. They hold the winds too, which both sets see alike: an orbit's mean wind is some m/s, where a scene's own
/// wind is tens of m/s, so what counts is one number an orbit; and where both lines shine in one row of one exposure, most of the wind drops out of their difference.
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
            foreach (var residual in Lines(view, lines[0].Exposures, lines[1].Exposures)) yield return residual;
        }
    }

    // First line minus second, row by row of the same exposures.
    private static IEnumerable<OrbitResidual> Lines(string view, IReadOnlyList<ScenePhase> first, IReadOnlyList<ScenePhase> second)
    {
        var other = second.ToDictionary(e => (e.Fringe.Exposure, e.Fringe.Time));
        double[][] exposures = [.. first.Where(e => other.ContainsKey((e.Fringe.Exposure, e.Fringe.Time)))
            .Select(e => e.RowMs.Zip(other[(e.Fringe.Exposure, e.Fringe.Time)].RowMs, (a, b) => a - b).Where(double.IsFinite).ToArray()).Where(d => d.Length > 0)];
        if (exposures.Length == 0) yield break;
        var rows = exposures.Sum(d => d.Length);
        var median = RobustStatistics.Median([.. exposures.SelectMany(d => d)]);
        yield return One(ResidualMeasures.GreenRed, view, null, median, rows);
        double[] about = [.. exposures.Select(d => RobustStatistics.Median(d) - median)];
        yield return new(ResidualMeasures.GreenRedWithinOrbit, view, null, "m/s", about.Length, about.Sum(), about.Sum(v => v * v)) { Measured = rows };
    }

    // The part of the exposures' speeds that goes with T_lag: least-squares slope times the rms swing of T_lag.
    private static double? WithTemperature(IReadOnlyList<ScenePhase> all)
    {
        ScenePhase[] exposures = [.. all.Where(e => double.IsFinite(e.LaggedC))];
        if (exposures.Length < LeastExposures) return null;
        double temperature = exposures.Average(e => e.LaggedC), speed = exposures.Average(e => e.MedianMs);
        var squares = exposures.Sum(e => (e.LaggedC - temperature) * (e.LaggedC - temperature));
        if (!(squares > 0)) return null;
        return exposures.Sum(e => (e.LaggedC - temperature) * (e.MedianMs - speed)) / squares * Math.Sqrt(squares / exposures.Length);
    }

    private static OrbitResidual One(string measure, string? view, string? line, double value, int rows) => new(measure, view, line, "m/s", 1, value, value * value) { Measured = rows };
}
