using System.Globalization;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.ZeroWind;

/// <summary>Numbers of a solution before they are judged.</summary>
internal sealed record ZeroWindSolution(double[] OffsetsMs, double[] CovarianceM2S2, double[] TrendSigmaMs, double[] DailyWindSigmaMs);

/// <summary>How far the looks of a window go, and whether that suffices.</summary>
internal sealed class ZeroWindGeometry(DayCell[] cells, int orbitCount)
{
    private const double LeastRateHPerDay = 0.02; // a cycle of local time in more than three years

    /// <summary>The estimate with its verdict.</summary>
    public ZeroWindEstimate Estimate(string line, IReadOnlyList<string> views, OrbitWindSums[] orbits, ZeroWindOptions options, ZeroWindSystem system, ZeroWindSolution? solution)
    {
        var columns = Columns(system);
        int used = columns.Count(c => c == ZeroWindColumn.Used), oneLeg = columns.Count(c => c == ZeroWindColumn.OneLeg);
        var share = used + oneLeg == 0 ? 0 : (double)used / (used + oneLeg);
        var hours = Enumerable.Range(0, columns.Length).Where(i => columns[i] == ZeroWindColumn.Used).Select(i => i % ZeroWindGrid.Hours).Distinct().Count();
        long[] days = [.. cells.Select(c => c.Day).Distinct().Order()];
        var rate = LocalTimeRate();
        var n = views.Count;
        var eigenvalues = solution is null ? null : SymmetricEigenvalues.Of(system.Normal, n);
        var covariance = solution?.CovarianceM2S2 ?? [.. Enumerable.Repeat(double.NaN, n * n)];
        ZeroWindOffset[] offsets = [.. views.Select((v, i) => new ZeroWindOffset(v, solution?.OffsetsMs[i] ?? double.NaN, Math.Sqrt(covariance[i * n + i])))];
        var cycle = CycleDays(rate, options);
        var wantsCycle = cycle is { } whole && days.Length > 0 && days[^1] - days[0] < whole;
        var wantsGeometry = wantsCycle || share < options.LeastPairedShare || hours < options.LeastHours || solution is null;
        string[] reasons = [.. Reasons(options, days, share, hours, used, offsets, solution, rate, wantsGeometry, wantsCycle ? cycle : null)];
        return new()
        {
            Line = line,
            Status = reasons.Length == 0 ? ZeroWindStatus.Claimed : ZeroWindStatus.CannotTellYet,
            Reasons = reasons,
            ExpectedAt = wantsGeometry ? Expected(days, cycle) : null,
            Offsets = offsets,
            CovarianceM2S2 = covariance,
            TrendSigmaMs = solution?.TrendSigmaMs ?? [.. Enumerable.Repeat(double.NaN, n)],
            Information = eigenvalues is null ? (0, 0) : (eigenvalues[0] * n / system.TotalWeight, eigenvalues[^1] * n / system.TotalWeight),
            BinsUsed = system.Usable.Count,
            BinsSeen = cells.Select(c => c.Bin).Distinct().Count(),
            PairedShare = share,
            HoursUsed = hours,
            Columns = columns,
            DailyWindSigmaMs = solution?.DailyWindSigmaMs ?? [.. Enumerable.Repeat(double.NaN, ZeroWindGrid.Altitudes)],
            Orbits = orbitCount,
            Days = days.Length,
            From = orbits.Length > 0 ? orbits[0].Start : null,
            To = orbits.Length > 0 ? orbits[^1].Start : null,
            LocalTimeRateHPerDay = rate,
        };
    }

    private static IEnumerable<string> Reasons(ZeroWindOptions options, long[] days, double share, int hours, int used, ZeroWindOffset[] offsets, ZeroWindSolution? solution, double rate, bool wantsGeometry, long? lackedCycle)
    {
        if (days.Length == 0)
        {
            yield return "No good winds in the window.";
            yield break;
        }
        if (used == 0 || solution is null) yield return "No place has been seen by both legs of the orbit at the same local time under different looks: wind and offset cannot be told apart anywhere.";
        else if (share < options.LeastPairedShare)
            yield return string.Create(CultureInfo.InvariantCulture, $"Both legs have seen {100 * share:0} % of the places and local times that one has seen; {100 * options.LeastPairedShare:0} % are needed.");
        if (lackedCycle is { } cycle) yield return $"Winds reach over {days[^1] - days[0] + 1} days; a whole cycle of local time takes {cycle} from the first day on, and before it is round the wind's change with the season goes one way between the legs.";
        if (used > 0 && hours < options.LeastHours) yield return $"Only {hours} of 24 hours of local time have a place that both legs have seen; {options.LeastHours} are needed.";
        if (wantsGeometry && double.IsFinite(rate) && Math.Abs(rate) < LeastRateHPerDay)
            yield return "The legs' local times hardly move on this orbit: only yaw turns can bring other looks at the same place and hour.";
        if (days.Length < options.LeastDays) yield return $"Winds of {days.Length} days; {options.LeastDays} are needed to tell what the wind does from day to day.";
        var largest = offsets.Max(o => o.SigmaMs);
        if (solution is not null && !(largest <= options.LargestSigmaMs))
            yield return string.Create(CultureInfo.InvariantCulture, $"The uncertainty is {largest:0.0} m/s; {options.LargestSigmaMs:0.0} m/s or less is needed.");
    }

    private ZeroWindColumn[] Columns(ZeroWindSystem system)
    {
        var columns = new ZeroWindColumn[ZeroWindGrid.Latitudes * ZeroWindGrid.Hours];
        var legs = new int[columns.Length];
        foreach (var c in cells) legs[ZeroWindGrid.ColumnOf(c.Bin)] |= c.Ascending ? 1 : 2;
        for (var i = 0; i < columns.Length; i++) columns[i] = legs[i] switch { 0 => ZeroWindColumn.Empty, 3 => ZeroWindColumn.LeftOut, _ => ZeroWindColumn.OneLeg };
        foreach (var (first, _) in system.Usable) columns[ZeroWindGrid.ColumnOf(cells[first].Bin)] = ZeroWindColumn.Used;
        return columns;
    }

    // Median over latitude, leg and neighbouring days of the change of the mean local time.
    private double LocalTimeRate()
    {
        var changes = new List<double>();
        foreach (var course in cells.GroupBy(c => (ZeroWindGrid.LatitudeOf(c.Bin), c.Ascending)).OrderBy(g => g.Key))
        {
            (long Day, double Angle)[] daily = [.. course.GroupBy(c => c.Day).OrderBy(g => g.Key)
                .Select(g => (g.Key, Math.Atan2(g.Sum(c => Math.Sin(c.Hour * (Math.PI / 12))), g.Sum(c => Math.Cos(c.Hour * (Math.PI / 12))))))];
            for (var i = 1; i < daily.Length; i++)
            {
                // Far apart the turn could be a whole one more.
                var step = daily[i].Day - daily[i - 1].Day;
                if (step <= 3) changes.Add(Math.IEEERemainder(daily[i].Angle - daily[i - 1].Angle, 2 * Math.PI) * (12 / Math.PI) / step);
            }
        }
        return RobustStatistics.Median(changes);
    }

    // A whole cycle of local time and a bin's width more, days; null where the legs' local times hardly move or no window is long enough: there only turns of the satellite bring other looks.
    private static long? CycleDays(double rateHPerDay, ZeroWindOptions options) =>
        Math.Abs(rateHPerDay) >= LeastRateHPerDay && Math.Ceiling((ZeroWindGrid.Hours + 1) / Math.Abs(rateHPerDay) - 0.05) is var cycle && cycle <= options.WindowDays ? (long)cycle : null;

    // Once the cycle is past, days were lost and nothing can be promised.
    private static Instant? Expected(long[] days, long? cycle) =>
        days.Length == 0 || cycle is not { } whole || days[0] + whole <= days[^1] ? null : Instant.FromUnixDay(days[0] + whole, 0);
}
