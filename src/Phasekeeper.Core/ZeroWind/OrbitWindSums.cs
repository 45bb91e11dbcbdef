using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.ZeroWind;

/// <summary>
/// Winds of one orbit, view, line and leg in one bin, condensed. The model <c>u·sin(az) + v·cos(az) + z</c> is linear, so the means are an exact observation of it.
/// </summary>
/// <param name="View">View id.</param>
/// <param name="Line">Line id.</param>
/// <param name="Bin">Bin of <see cref="ZeroWindGrid"/>.</param>
/// <param name="Ascending">True on the northward leg.</param>
/// <param name="Count">Winds behind it.</param>
/// <param name="MeanSinAzimuth">Mean sine of the azimuths.</param>
/// <param name="MeanCosAzimuth">Mean cosine of the azimuths.</param>
/// <param name="MeanWindMs">Mean wind, m/s.</param>
/// <param name="MeanVarianceM2S2">Mean of the winds' variances, (m/s)²: their errors are largely common, so it is not divided by the count.</param>
/// <param name="MeanHour">Mean local solar time, h.</param>
public readonly record struct ZeroWindCell(
    string View, string Line, int Bin, bool Ascending, int Count, double MeanSinAzimuth, double MeanCosAzimuth, double MeanWindMs, double MeanVarianceM2S2, double MeanHour);

/// <summary>All that the zero wind needs to know of one orbit's winds, some kilobytes: weeks are solved from these, not from winds.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="Start">Its ascending node.</param>
/// <param name="Cells">Ordered by line, view (ordinal), bin, leg (descending first).</param>
public sealed record OrbitWindSums(int Orbit, Instant Start, IReadOnlyList<ZeroWindCell> Cells)
{
    /// <summary>Condenses an orbit's winds; what has no bin, or no finite wind and σ, is left out. The order of the samples does not matter beyond rounding: fillers keep order of time.</summary>
    public static OrbitWindSums Of(int orbit, Instant start, IEnumerable<ZeroWindSample> samples)
    {
        var sums = new Dictionary<(string Line, string View, int Bin, bool Ascending), Sum>();
        foreach (var s in samples)
        {
            var bin = ZeroWindGrid.Of(s.LatitudeDeg, s.LocalSolarTimeH, s.AltitudeKm);
            if (bin < 0 || !double.IsFinite(s.WindMs) || !double.IsFinite(s.AzimuthRad) || !(s.SigmaMs > 0) || !double.IsFinite(s.SigmaMs)) continue;
            var key = (s.Line, s.View, bin, s.Ascending);
            if (!sums.TryGetValue(key, out var sum)) sums[key] = sum = new Sum();
            sum.Add(s);
        }
        return new(orbit, start, [.. sums
            .OrderBy(p => p.Key.Line, StringComparer.Ordinal).ThenBy(p => p.Key.View, StringComparer.Ordinal).ThenBy(p => p.Key.Bin).ThenBy(p => p.Key.Ascending)
            .Select(p => p.Value.Cell(p.Key.View, p.Key.Line, p.Key.Bin, p.Key.Ascending))]);
    }

    private sealed class Sum
    {
        private int _count;
        private double _sin, _cos, _wind, _variance, _hour;

        public void Add(in ZeroWindSample s)
        {
            var (sin, cos) = Math.SinCos(s.AzimuthRad);
            _count++;
            _sin += sin;
            _cos += cos;
            _wind += s.WindMs;
            _variance += s.SigmaMs * s.SigmaMs;
            _hour += s.LocalSolarTimeH;
        }

        public ZeroWindCell Cell(string view, string line, int bin, bool ascending) =>
            new(view, line, bin, ascending, _count, Mean(_sin), Mean(_cos), Mean(_wind), Mean(_variance), Mean(_hour));

        // Kept in single precision: 1e-5 m/s, and half the bytes.
        private double Mean(double sum) => (float)(sum / _count);
    }
}
