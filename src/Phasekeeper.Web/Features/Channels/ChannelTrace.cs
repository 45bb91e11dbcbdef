using Phasekeeper.Core.Time;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Channels;

/// <summary>Turns a stretch of a channel into a trace that breaks where samples are missing.</summary>
internal static class ChannelTrace
{
    // Chosen: a pause of this many usual spacings is a gap.
    private const double GapSpacings = 8;

    /// <summary>The trace of a channel.</summary>
    public static PlotTrace Of(ParameterInfo channel, DecimatedSeries series, string axis, MissionState mission, int colour)
    {
        var labels = channel.Labels;
        var times = new List<Instant>();
        var y = new List<double>();
        var low = new List<double>();
        var high = new List<double>();
        var gapS = GapSpacings * UsualSpacingS(series.Points);
        for (var i = 0; i < series.Points.Count; i++)
        {
            var p = series.Points[i];
            if (i > 0 && p.Start - series.Points[i - 1].Start > gapS)
                Add(new Instant((p.Start.TaiNanoseconds + series.Points[i - 1].Start.TaiNanoseconds) / 2), double.NaN, double.NaN, double.NaN);
            if (labels is null) Add(p.Start, p.Mean, p.Min, p.Max);
            else
            {
                // A mean of states means nothing: both ends of what a column holds are drawn.
                Add(p.Start, p.Min, p.Min, p.Min);
                if (p.Max != p.Min) Add(p.Start, p.Max, p.Max, p.Max);
            }
        }
        var hasSpread = labels is null && series.Level != "raw";
        return new PlotTrace
        {
            Name = channel.Name,
            Kind = labels is null ? PlotTraceKind.Line : PlotTraceKind.Steps,
            Axis = axis,
            Colour = colour,
            X = [.. times.Select(PlotTime.Of)],
            Y = y,
            Low = hasSpread ? low : null,
            High = hasSpread ? high : null,
            Orbit = PlotMission.OrbitsOf(mission, times),
            Note = labels is null ? null : [.. y.Select(v => double.IsNaN(v) ? "" : labels.IndexOf((long)v) is >= 0 and var k ? labels.Labels[k] : "no label")],
        };

        void Add(Instant time, double value, double least, double largest)
        {
            times.Add(time);
            y.Add(value);
            low.Add(least);
            high.Add(largest);
        }
    }

    private static double UsualSpacingS(IReadOnlyList<RollUp> points)
    {
        if (points.Count < 3) return double.PositiveInfinity;
        var spacing = new double[points.Count - 1];
        for (var i = 1; i < points.Count; i++) spacing[i - 1] = points[i].Start - points[i - 1].Start;
        Array.Sort(spacing);
        return spacing[spacing.Length / 2];
    }
}
