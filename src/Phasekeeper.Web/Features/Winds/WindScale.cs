using Phasekeeper.Core.Winds;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>The colours of winds: one scale for all panels and maps of a page, zero in its neutral middle.</summary>
internal static class WindScale
{
    private static readonly double[] Limits = [5, 10, 20, 30, 50, 75, 100, 125, 150, 200, 250, 300, 400, 600, 1000, 2000, 4000, 8000];

    /// <summary>Limit that at most 2 % of the values exceed, on a round number; a wild value alone does not decide. Without values: ±100 m/s.</summary>
    public static double LimitOf(IEnumerable<double> values)
    {
        var sizes = values.Where(double.IsFinite).Select(Math.Abs).Order().ToArray();
        if (sizes.Length == 0) return 100;
        var covered = sizes[(int)Math.Ceiling(0.98 * (sizes.Length - 1))];
        return Limits.FirstOrDefault(l => l >= covered, Limits[^1]);
    }

    /// <summary>Signed winds up to a limit either way.</summary>
    public static PlotColourScale Signed(double limitMs, string title = "Wind (eastward and northward positive)") => new(title, "m/s", true, -limitMs, limitMs);

    /// <summary>Sizes from zero to a limit.</summary>
    public static PlotColourScale Size(double limitMs, string title = "1σ") => new(title, "m/s", false, 0, limitMs);

    /// <summary>Both components of the vectors that count: good ones; where there are none, doubtful ones.</summary>
    public static IEnumerable<double> Counting(IEnumerable<WindVector> vectors)
    {
        var best = vectors.ToLookup(v => v.Quality);
        return (best[WindQuality.Good].Any() ? best[WindQuality.Good] : best[WindQuality.Doubtful]).SelectMany(v => new[] { v.EastwardMs, v.NorthwardMs });
    }
}
