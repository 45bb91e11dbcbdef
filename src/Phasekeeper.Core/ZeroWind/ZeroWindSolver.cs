using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.ZeroWind;

/// <summary>
/// Zero-wind offsets of a line from the condensed winds of weeks (domain.md section 4): least squares of <c>u·sin(az) + v·cos(az) + z_view</c> with u and v of every bin unknown.
/// <para>
/// Covariance: A⁻¹·M·A⁻¹ with M the covariance of the score Σ w·x̃·residual, summed over days and their products up to <see cref="ZeroWindOptions.CorrelationDays"/> apart with triangular
/// weights (W. K. Newey, K. D. West (1987), Econometrica 55, 703, doi 10.2307/1913610), so that what the wind does on one day in all bins counts as one event, however many bins share it. A bin visited
/// once by each leg lets its u and v absorb half of that: its residuals are scaled by √(g/(g − 2)), g = number of (view, leg, visit) groups. A steady seasonal change of u and v
/// is added by its own sensitivity. Checked over seeds of the example mission's winds (tests/…/ZeroWind).
/// </para>
/// </summary>
public static class ZeroWindSolver
{
    private const int VisitGapDays = 10; // a leg comes back to an hour of local time after weeks: shorter gaps are lost days

    /// <summary>Solves one line.</summary>
    /// <param name="window">Sums of the window's orbits, in any order, each orbit once.</param>
    /// <param name="views">View ids, in the instrument's order.</param>
    /// <param name="line">Line id.</param>
    /// <param name="options">Limits; null = the defaults.</param>
    public static ZeroWindEstimate Solve(IReadOnlyList<OrbitWindSums> window, IReadOnlyList<string> views, string line, ZeroWindOptions? options = null)
    {
        options ??= ZeroWindOptions.Default;
        OrbitWindSums[] orbits = [.. window.Where(o => o.Cells.Any(c => c.Line == line)).OrderBy(o => o.Start.TaiNanoseconds).ThenBy(o => o.Orbit)];
        var cells = DayCell.Of(orbits, views, line);
        var geometry = new ZeroWindGeometry(cells, orbits.Length);
        var daily = new double[ZeroWindGrid.Altitudes];
        Array.Fill(daily, options.FirstDailySigmaMs);
        var system = ZeroWindSystem.Prepare(cells, views.Count, daily, options.LeastBinInformation);
        if (system.Inverse is null) return geometry.Estimate(line, views, orbits, options, system, null);
        var first = system.Solve(c => c.WindMs);
        var found = DailySigma(cells, system, first);
        system = ZeroWindSystem.Prepare(cells, views.Count, [.. found.Select(s => double.IsFinite(s) ? s : options.FirstDailySigmaMs)], options.LeastBinInformation);
        if (system.Inverse is null) return geometry.Estimate(line, views, orbits, options, system, null);

        var offsets = system.Solve(c => c.WindMs);
        var scores = Scores(cells, system, offsets, views.Count);
        var covariance = Covariance(system, scores, views.Count, options);
        var trend = Trend(cells, system, views.Count, options);
        for (var i = 0; i < views.Count; i++)
            for (var j = 0; j < views.Count; j++) covariance[i * views.Count + j] += trend.U[i] * trend.U[j] + trend.V[i] * trend.V[j];
        double[] trendSigma = [.. Enumerable.Range(0, views.Count).Select(i => Math.Sqrt(trend.U[i] * trend.U[i] + trend.V[i] * trend.V[i]))];
        return geometry.Estimate(line, views, orbits, options, system, new(offsets, covariance, trendSigma, found));
    }

    // √(g/(g−2)) for the groups of a bin; the wind takes two of them.
    private static double Scale(DayCell[] cells, (int First, int End) bin)
    {
        var groups = 0;
        Span<long> last = stackalloc long[2 * 16];
        last.Fill(long.MinValue / 2);
        for (var i = bin.First; i < bin.End; i++)
        {
            var slot = 2 * Math.Min(cells[i].View, 15) + (cells[i].Ascending ? 1 : 0);
            if (cells[i].Day - last[slot] > VisitGapDays) groups++;
            last[slot] = cells[i].Day;
        }
        return groups > 2 ? Math.Sqrt(groups / (groups - 2.0)) : 3;
    }

    private static double[] DailySigma(DayCell[] cells, ZeroWindSystem system, double[] offsets)
    {
        var squares = new double[ZeroWindGrid.Altitudes];
        var noise = new double[ZeroWindGrid.Altitudes];
        var count = new int[ZeroWindGrid.Altitudes];
        var residual = new double[cells.Length];
        foreach (var bin in system.Usable)
        {
            var scale = Scale(cells, bin);
            system.Residuals(bin, offsets, residual);
            var altitude = ZeroWindGrid.AltitudeOf(cells[bin.First].Bin);
            for (var i = bin.First; i < bin.End; i++)
            {
                squares[altitude] += scale * scale * residual[i] * residual[i];
                noise[altitude] += cells[i].VarianceM2S2;
                count[altitude]++;
            }
        }
        // At least 1 m/s: with perfectly steady winds a bin would otherwise weigh without bound.
        return [.. squares.Select((s, a) => count[a] == 0 ? double.NaN : Math.Sqrt(Math.Max(1, (s - noise[a]) / count[a])))];
    }

    private static SortedDictionary<long, double[]> Scores(DayCell[] cells, ZeroWindSystem system, double[] offsets, int views)
    {
        var scores = new SortedDictionary<long, double[]>();
        var residual = new double[cells.Length];
        foreach (var bin in system.Usable)
        {
            var scale = Scale(cells, bin);
            system.Residuals(bin, offsets, residual);
            for (var i = bin.First; i < bin.End; i++)
            {
                if (!scores.TryGetValue(cells[i].Day, out var score)) scores[cells[i].Day] = score = new double[views];
                var wr = system.WeightOf(i) * scale * residual[i];
                var reduced = system.ReducedOf(i);
                for (var v = 0; v < views; v++) score[v] += wr * reduced[v];
            }
        }
        return scores;
    }

    private static double[] Covariance(ZeroWindSystem system, SortedDictionary<long, double[]> scores, int views, ZeroWindOptions options)
    {
        var meat = new double[views * views];
        foreach (var (day, score) in scores)
            for (var lag = 0; lag <= options.CorrelationDays; lag++)
            {
                if (!scores.TryGetValue(day + lag, out var later)) continue;
                var weight = 1 - lag / (options.CorrelationDays + 1.0);
                for (var i = 0; i < views; i++)
                    for (var j = 0; j < views; j++)
                        meat[i * views + j] += lag == 0 ? score[i] * score[j] : weight * (score[i] * later[j] + later[i] * score[j]);
            }
        // As many degrees of freedom as independent stretches of days, less one an offset.
        var stretches = Math.Max(views + 1.0, scores.Count / (options.CorrelationDays + 1.0));
        var scale = stretches / (stretches - views);
        var inverse = system.Inverse!;
        var result = new double[views * views];
        for (var i = 0; i < views; i++)
            for (var j = 0; j < views; j++)
                for (var k = 0; k < views; k++)
                    for (var l = 0; l < views; l++) result[i * views + j] += scale * inverse[i * views + k] * meat[k * views + l] * inverse[l * views + j];
        return result;
    }

    // What the offsets would take from u or v that change by the prior's σ a day.
    private static (double[] U, double[] V) Trend(DayCell[] cells, ZeroWindSystem system, int views, ZeroWindOptions options)
    {
        var middle = Moments.Mean([.. cells.Select(c => (double)c.Day)]);
        var u = system.Solve(c => options.TrendSigmaMsPerDay * (c.Day - middle) * c.Sin);
        var v = system.Solve(c => options.TrendSigmaMsPerDay * (c.Day - middle) * c.Cos);
        return (u[..views], v[..views]);
    }
}
