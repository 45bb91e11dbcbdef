using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Exports.NetCdf;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>The wind vectors of a day's file: one entry an exposure of the second view, whose tangent points are the places.</summary>
internal sealed class WindDayVectors
{
    private static readonly string[] Dimensions = ["vector", "line", "row"], Place = ["vector", "row"];
    private const string Coordinates = "vector_time vector_latitude vector_longitude vector_altitude line_id";
    private readonly WindDay day;
    private readonly WindDayNames names;
    private readonly int lines, rows;
    private readonly StoredWindVectors[] exposures;
    private readonly WindVector?[] cells;
    private readonly StoredWindVectors?[] parts;

    public WindDayVectors(WindDay day, WindDayNames names, string[] lines, int rows)
    {
        (this.day, this.names, this.lines, this.rows) = (day, names, lines.Length, rows);
        exposures = [.. day.Vectors.DistinctBy(v => (v.ExposureTime, v.Exposure)).OrderBy(v => v.ExposureTime).ThenBy(v => v.Exposure)];
        var at = exposures.Select((v, i) => ((v.ExposureTime, v.Exposure), i)).ToDictionary(p => p.Item1, p => p.i);
        cells = new WindVector?[exposures.Length * lines.Length * rows];
        parts = new StoredWindVectors?[cells.Length];
        foreach (var stored in day.Vectors)
            if (Array.IndexOf(lines, stored.Line) is >= 0 and var line)
                foreach (var v in stored.Vectors.Where(v => v.Row < rows))
                {
                    var cell = (at[(stored.ExposureTime, stored.Exposure)] * lines.Length + line) * rows + v.Row;
                    (cells[cell], parts[cell]) = (v, stored);
                }
    }

    public int Count => exposures.Length;

    public IEnumerable<NetCdfVariable> Variables()
    {
        if (Count == 0) yield break;
        yield return new("vector_exposure", ["vector"], NetCdfValues.Of([.. exposures.Select(v => (double)v.Exposure)]), WindDayFile.Attributes(("long_name", "exposure of the second view, whose tangent points are the places"), ("units", "1")));
        // The earlier looks of one exposure may lie on both sides of an orbit's start, since the time between the looks depends on the row.
        yield return WindDayGrid.Int("vector_orbit", Dimensions, [.. parts.Select(p => p?.Orbit)], Coordinates, [.. WindDayFile.Attributes(("long_name", "orbit number of the earlier look"), ("units", "1"))]);
        yield return WindDayGrid.Int("vector_coefficient_set", Dimensions, [.. parts.Select(p => p?.CoefficientSet is { } set ? checked((int)set) : (int?)null)], Coordinates,
            [.. WindDayFile.Attributes(("long_name", "coefficient set that the vector was made with")), .. names.SetAttributes()]);
        yield return WindDayGrid.Double("vector_time", Dimensions, Of(v => WindDayFile.SecondsOfDay(day.Date, v.Time)), null, WindDayFile.TimeAttributes(day.Date, "middle between the two looks"));
        yield return PlaceOf("vector_latitude", v => v.LatitudeRad * (180 / Math.PI), ("standard_name", "latitude"), ("long_name", "geodetic latitude"), ("units", "degrees_north"));
        yield return PlaceOf("vector_longitude", v => v.LongitudeRad * (180 / Math.PI), ("standard_name", "longitude"), ("long_name", "longitude"), ("units", "degrees_east"));
        yield return PlaceOf("vector_altitude", v => v.AltitudeKm, ("standard_name", "height_above_reference_ellipsoid"), ("long_name", "height over WGS 84"), ("units", "km"), ("positive", "up"));
        var grid = new WindDayGrid(Dimensions, cells.Length, Coordinates);
        const string quality = "vector_quality vector_quality_doubtful_reasons vector_quality_bad_reasons vector_quality_notes vector_held";
        yield return grid.Variable("eastward_wind", Of(v => v.EastwardMs), ("standard_name", "eastward_wind"), ("long_name", "eastward wind"), ("units", "m s-1"), ("grid_mapping", "crs"),
            ("ancillary_variables", $"eastward_wind_error wind_covariance seconds_between_looks {quality}"));
        yield return grid.Variable("northward_wind", Of(v => v.NorthwardMs), ("standard_name", "northward_wind"), ("long_name", "northward wind"), ("units", "m s-1"), ("grid_mapping", "crs"),
            ("ancillary_variables", $"northward_wind_error wind_covariance seconds_between_looks {quality}"));
        yield return grid.Variable("eastward_wind_error", Of(v => v.EastwardSigmaMs), ("standard_name", "eastward_wind standard_error"), ("long_name", "1 sigma of eastward_wind"), ("units", "m s-1"));
        yield return grid.Variable("northward_wind_error", Of(v => v.NorthwardSigmaMs), ("standard_name", "northward_wind standard_error"), ("long_name", "1 sigma of northward_wind"), ("units", "m s-1"));
        yield return grid.Variable("wind_covariance", Of(v => v.CovarianceM2S2), ("long_name", "covariance of eastward_wind and northward_wind, with what errors common to both looks make of it"),
            ("units", "m2 s-2"));
        yield return grid.Variable("seconds_between_looks", Of(v => v.SecondsBetweenLooks), ("long_name", "time between the two looks"), ("units", "s"));
        foreach (var variable in grid.Quality("vector_quality", "the wind vector", i => cells[i] is { } v ? (v.Quality, v.Reasons) : null)) yield return variable;
        yield return grid.Held("vector_held", "the winds of the vector's orbit", i => parts[i] is { } part ? day.Held.GetValueOrDefault(part.Orbit) : null);
    }

    private double[] Of(Func<WindVector, double> value) => [.. cells.Select(v => v is null ? double.NaN : value(v))];

    // Both lines see the same places.
    private NetCdfVariable PlaceOf(string name, Func<WindVector, double> value, params (string, string?)[] attributes)
    {
        var values = new double[Count * rows];
        for (var i = 0; i < values.Length; i++)
        {
            var (vector, row) = Math.DivRem(i, rows);
            values[i] = Enumerable.Range(0, lines).Select(l => cells[(vector * lines + l) * rows + row]).FirstOrDefault(v => v is not null) is { } v ? value(v) : double.NaN;
        }
        return WindDayGrid.Double(name, Place, values, null, WindDayFile.Attributes(attributes));
    }
}
