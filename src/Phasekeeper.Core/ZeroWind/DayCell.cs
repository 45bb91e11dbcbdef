namespace Phasekeeper.Core.ZeroWind;

/// <summary>The cells of one UTC day, bin, view and leg, averaged over the day's orbits, each orbit by its count of winds.</summary>
internal readonly record struct DayCell(int Bin, long Day, int View, bool Ascending, double Sin, double Cos, double WindMs, double VarianceM2S2, double Hour)
{
    /// <summary>Day cells of a line, ordered by bin, day, leg, view; views that were not asked for are left out.</summary>
    public static DayCell[] Of(IEnumerable<OrbitWindSums> orbits, IReadOnlyList<string> views, string line)
    {
        var index = views.Select((v, i) => (v, i)).ToDictionary(p => p.v, p => p.i, StringComparer.Ordinal);
        var sums = new Dictionary<(int Bin, long Day, bool Ascending, int View), Sum>();
        foreach (var orbit in orbits.OrderBy(o => o.Start.TaiNanoseconds).ThenBy(o => o.Orbit))
        {
            var day = orbit.Start.ToUnixDay().UnixDay;
            foreach (var cell in orbit.Cells)
            {
                if (cell.Line != line || !index.TryGetValue(cell.View, out var view)) continue;
                var key = (cell.Bin, day, cell.Ascending, view);
                if (!sums.TryGetValue(key, out var sum)) sums[key] = sum = new();
                sum.Add(cell);
            }
        }
        return [.. sums.OrderBy(p => p.Key).Select(p => p.Value.Cell(p.Key.Bin, p.Key.Day, p.Key.View, p.Key.Ascending))];
    }

    private sealed class Sum
    {
        private double _count, _sin, _cos, _wind, _variance, _hour;

        public void Add(in ZeroWindCell c)
        {
            _count += c.Count;
            _sin += c.Count * c.MeanSinAzimuth;
            _cos += c.Count * c.MeanCosAzimuth;
            _wind += c.Count * c.MeanWindMs;
            _variance += c.Count * c.MeanVarianceM2S2;
            _hour += c.Count * c.MeanHour;
        }

        public DayCell Cell(int bin, long day, int view, bool ascending) =>
            new(bin, day, view, ascending, _sin / _count, _cos / _count, _wind / _count, _variance / _count, _hour / _count);
    }
}
