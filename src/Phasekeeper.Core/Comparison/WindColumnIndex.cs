using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Comparison;

/// <summary>Independent columns by place and time, to find the one nearest to a place and moment.</summary>
public sealed class WindColumnIndex
{
    private const double EarthRadiusKm = 6371.0088; // mean radius, IUGG: good to half a percent of a distance

    private readonly WindColumn[] _columns;
    private readonly SpaceTimeTree _tree;

    /// <summary>Prepares columns in any order.</summary>
    public WindColumnIndex(IEnumerable<WindColumn> columns)
    {
        _columns = [.. columns.OrderBy(c => c.Time.TaiNanoseconds).ThenBy(c => c.Winds[0].Source, StringComparer.Ordinal).ThenBy(c => c.LatitudeDeg).ThenBy(c => c.LongitudeDeg)];
        _tree = new([.. _columns.SelectMany(c => Scaled(c.Time, c.LatitudeDeg, c.LongitudeDeg))]);
    }

    /// <summary>
    /// The nearest column within the widest limits: smallest (distance/limit)² + (time/limit)² with the default limits as scale; the first in the order of time, source and place when several are. Null when
    /// there is none.
    /// </summary>
    public (WindColumn Column, double DistanceKm, double Minutes)? Nearest(Instant time, double latitudeDeg, double longitudeDeg, ComparisonLimits widest)
    {
        var reach = (long)(widest.Minutes * 60e9);
        var found = _tree.Cheapest(Scaled(time, latitudeDeg, longitudeDeg), widest.DistanceKm / ComparisonLimits.Default.DistanceKm, widest.Minutes / ComparisonLimits.Default.Minutes, i =>
        {
            var column = _columns[i];
            if (Math.Abs(time.TaiNanoseconds - column.Time.TaiNanoseconds) > reach) return double.PositiveInfinity;
            var distance = DistanceKm(latitudeDeg, longitudeDeg, column.LatitudeDeg, column.LongitudeDeg);
            if (distance > widest.DistanceKm) return double.PositiveInfinity;
            double d = distance / ComparisonLimits.Default.DistanceKm, m = (time - column.Time) / 60 / ComparisonLimits.Default.Minutes;
            return d * d + m * m;
        });
        return found < 0 ? null : (_columns[found], DistanceKm(latitudeDeg, longitudeDeg, _columns[found].LatitudeDeg, _columns[found].LongitudeDeg), (time - _columns[found].Time) / 60);
    }

    // Unit vector and time since the first column, in units of the scales that the cost is made with.
    private double[] Scaled(Instant time, double latitudeDeg, double longitudeDeg)
    {
        const double rad = Math.PI / 180;
        var ((sinLatitude, cosLatitude), (sinLongitude, cosLongitude)) = (Math.SinCos(latitudeDeg * rad), Math.SinCos(longitudeDeg * rad));
        var radius = EarthRadiusKm / ComparisonLimits.Default.DistanceKm;
        return [radius * cosLatitude * cosLongitude, radius * cosLatitude * sinLongitude, radius * sinLatitude, _columns.Length == 0 ? 0 : (time - _columns[0].Time) / 60 / ComparisonLimits.Default.Minutes];
    }

    /// <summary>Great-circle distance on the mean sphere, km (haversine).</summary>
    public static double DistanceKm(double latitude1Deg, double longitude1Deg, double latitude2Deg, double longitude2Deg)
    {
        const double rad = Math.PI / 180;
        double a = Math.Sin((latitude2Deg - latitude1Deg) * rad / 2), b = Math.Sin((longitude2Deg - longitude1Deg) * rad / 2);
        return 2 * EarthRadiusKm * Math.Asin(Math.Min(1, Math.Sqrt(a * a + Math.Cos(latitude1Deg * rad) * Math.Cos(latitude2Deg * rad) * b * b)));
    }
}
