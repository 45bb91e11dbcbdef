using System.Diagnostics;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Benchmarks;

/// <summary>How long it takes to lay an orbit's winds beside many independent ones, all within a quarter of an hour: what a model on a fine grid looks like.</summary>
internal static class ComparisonSpeed
{
    private const double Minutes = 17;
    private static TimeSpan Cpu => Process.GetCurrentProcess().TotalProcessorTime;

    private const int PlacesLookedAtAll = 100;
    private const int Places = 6000; // vectors and line-of-sight winds of an orbit, roughly

    /// <summary>Prints the figures.</summary>
    public static void Print(TextWriter output, int columns)
    {
        var random = new Random(11);
        var start = Instant.FromUtc(2031, 4, 12, 12);
        (double Latitude, double Longitude) Place() => (Math.Asin(2 * random.NextDouble() - 1) * (180 / Math.PI), random.NextDouble() * 360 - 180);
        var set = new WindColumn[columns];
        for (var i = 0; i < columns; i++)
        {
            var (latitude, longitude) = Place();
            set[i] = new([new(start.AddSeconds(60 * Minutes * random.NextDouble()), latitude, longitude, 100, 1, 1, 1, 1, "model")]);
        }
        // CPU time: other work on the machine does not count.
        var time = Cpu;
        var index = new WindColumnIndex(set);
        var build = Cpu - time;
        time = Cpu;
        var found = 0;
        for (var i = 0; i < Places; i++)
        {
            var (latitude, longitude) = Place();
            if (index.Nearest(start.AddSeconds(60 * 97 * ((double)i / Places) - 40 * 60), latitude, longitude, ComparisonLimits.Widest) is not null) found++;
        }
        var search = Cpu - time;
        // What a look at all columns costs, for comparison: the cheap test of latitudes first.
        time = Cpu;
        var near = 0;
        for (var i = 0; i < PlacesLookedAtAll; i++)
        {
            var (latitude, longitude) = Place();
            foreach (var column in set)
                if (Math.Abs(column.LatitudeDeg - latitude) * 110 <= ComparisonLimits.Widest.DistanceKm
                    && WindColumnIndex.DistanceKm(latitude, longitude, column.LatitudeDeg, column.LongitudeDeg) <= ComparisonLimits.Widest.DistanceKm) near++;
        }
        var all = Cpu - time;
        output.WriteLine(FormattableString.Invariant($"{columns} columns within {Minutes} minutes: prepared in {build.TotalSeconds:0.00} CPU s; {Places} places of an orbit in {search.TotalSeconds:0.000} CPU s ({1e6 * search.TotalSeconds / Places:0} µs a place), {found} with a column in reach."));
        output.WriteLine(FormattableString.Invariant($"A look at all columns: {1e6 * all.TotalSeconds / PlacesLookedAtAll:0} CPU µs a place ({near / PlacesLookedAtAll} columns in reach), so {Places * all.TotalSeconds / PlacesLookedAtAll:0} CPU s an orbit."));
    }
}
