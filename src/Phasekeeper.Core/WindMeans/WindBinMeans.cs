namespace Phasekeeper.Core.WindMeans;

/// <summary>Component of a wind vector.</summary>
public enum WindComponent
{
    /// <summary>Eastward wind.</summary>
    Eastward,
    /// <summary>Northward wind.</summary>
    Northward,
}

/// <summary>What a stretch of orbits says of one bin. Deviations that too few values are behind are NaN.</summary>
/// <param name="Count">Vectors.</param>
/// <param name="Orbits">Orbits with vectors in the bin.</param>
/// <param name="Days">Days with vectors in the bin.</param>
/// <param name="MeanMs">Mean of the days' means, m/s: a day with many vectors weighs no more than one with few.</param>
/// <param name="WithinMs">Standard deviation of vectors about their orbit's mean, m/s: noise, and what the bin's size hides.</param>
/// <param name="OrbitToOrbitMs">Standard deviation of orbits' means about their day's mean, m/s.</param>
/// <param name="DayToDayMs">Standard deviation of the days' means, m/s.</param>
public readonly record struct WindBinMean(int Count, int Orbits, int Days, double MeanMs, double WithinMs, double OrbitToOrbitMs, double DayToDayMs);

/// <summary>
/// Means and variability of one component over a stretch of orbits, bin by bin: within an orbit, from orbit to orbit, from day to day. Orbits are added day by day, in order, so that
/// the same orbits give the same bits.
/// </summary>
public sealed class WindBinMeans(WindComponent component, bool withDoubtful)
{
    private readonly Cell?[] cells = new Cell?[WindBinGrid.Count];

    /// <summary>Adds an orbit.</summary>
    /// <param name="day">Number of the day it counts to; never smaller than that of the orbit before.</param>
    /// <param name="orbit">Its bins.</param>
    public void Add(int day, OrbitWindBins orbit)
    {
        ArgumentNullException.ThrowIfNull(orbit);
        foreach (var group in orbit.Bins.Where(b => withDoubtful || !b.Doubtful).GroupBy(b => b.Bin))
        {
            var (count, mean, squares) = (0, 0.0, 0.0);
            foreach (var bin in group)
            {
                // Two means joined (Chan, Golub and LeVeque 1983, The American Statistician 37, 242).
                var (x, s) = component == WindComponent.Eastward ? (bin.EastwardMs, bin.EastwardSquares) : (bin.NorthwardMs, bin.NorthwardSquares);
                var delta = x - mean;
                squares += s + delta * delta * count * bin.Count / (count + bin.Count);
                mean += delta * bin.Count / (count + bin.Count);
                count += bin.Count;
            }
            (cells[group.Key] ??= new Cell()).Add(day, count, mean, squares);
        }
    }

    /// <summary>What is known of a bin; null when no vector fell into it.</summary>
    public WindBinMean? Of(int bin) => cells[bin]?.Mean();

    /// <summary>Bins with vectors.</summary>
    public IEnumerable<int> Bins => Enumerable.Range(0, cells.Length).Where(b => cells[b] is not null);

    private sealed class Cell
    {
        private int count, orbits, days, dayOrbits, day = int.MinValue;
        private double withinSquares, betweenSquares, dayMean, daySquares;
        // Welford's running mean and squares over the days' means that are closed.
        private double mean, meanSquares;

        public void Add(int onDay, int n, double x, double squares)
        {
            if (onDay < day) throw new ArgumentOutOfRangeException(nameof(onDay), onDay, $"Days are added in order: {day} was before.");
            if (onDay != day) Close();
            day = onDay;
            count += n;
            orbits++;
            withinSquares += squares;
            dayOrbits++;
            var delta = x - dayMean;
            dayMean += delta / dayOrbits;
            daySquares += delta * (x - dayMean);
        }

        public WindBinMean Mean()
        {
            var copy = (Cell)MemberwiseClone();
            copy.Close();
            return new(copy.count, copy.orbits, copy.days, copy.mean, Deviation(copy.withinSquares, copy.count - copy.orbits), Deviation(copy.betweenSquares, copy.orbits - copy.days), Deviation(copy.meanSquares, copy.days - 1));
        }

        private void Close()
        {
            if (dayOrbits == 0) return;
            days++;
            var delta = dayMean - mean;
            mean += delta / days;
            meanSquares += delta * (dayMean - mean);
            betweenSquares += daySquares;
            (dayOrbits, dayMean, daySquares) = (0, 0, 0);
        }

        private static double Deviation(double squares, int degreesOfFreedom) => degreesOfFreedom > 0 ? Math.Sqrt(squares / degreesOfFreedom) : double.NaN;
    }
}
