using System.Globalization;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>Ticks of longitudes and latitudes on maps.</summary>
internal static class MapTicks
{
    /// <summary>Whole degrees from one end to the other.</summary>
    public static PlotTick[] Of(int from, int to, int step) =>
        [.. Enumerable.Range(0, (to - from) / step + 1).Select(i => from + i * step).Select(v => new PlotTick(v, v.ToString(CultureInfo.InvariantCulture).Replace('-', '−') + "°"))];
}
