using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Exports.NetCdf;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>The line-of-sight winds of a day's file.</summary>
internal sealed class WindDayLos
{
    private static readonly string[] Dimensions = ["time", "view", "line", "row"], Place = ["time", "view", "row"];
    private const string Coordinates = "latitude longitude altitude view_id line_id";
    private const string Ancillary = "los_wind_error los_wind_quality los_wind_quality_doubtful_reasons los_wind_quality_bad_reasons los_wind_quality_notes vertical_resolution held";

    private readonly WindDay day;
    private readonly WindDayNames names;
    private readonly int rows;
    private readonly StoredLosWind[] exposures;
    // [time, view, line]; null where nothing was measured.
    private readonly StoredLosWind?[,,] cells;

    public WindDayLos(WindDay day, WindDayNames names, string[] views, string[] lines, int rows)
    {
        (this.day, this.names, this.rows) = (day, names, rows);
        exposures = [.. day.Winds.DistinctBy(w => (w.Profile.Time, w.Profile.Exposure)).OrderBy(w => w.Profile.Time).ThenBy(w => w.Profile.Exposure)];
        var at = exposures.Select((w, i) => ((w.Profile.Time, w.Profile.Exposure), i)).ToDictionary(p => p.Item1, p => p.i);
        cells = new StoredLosWind?[exposures.Length, views.Length, lines.Length];
        foreach (var w in day.Winds)
        {
            var (v, l) = (Array.IndexOf(views, w.Profile.View), Array.IndexOf(lines, w.Profile.Line));
            // What an earlier profile called by another name has no place in this file's dimensions.
            if (v >= 0 && l >= 0) cells[at[(w.Profile.Time, w.Profile.Exposure)], v, l] = w;
        }
    }

    public int Count => exposures.Length;

    /// <summary>The averaging kernels of these winds.</summary>
    public WindDayKernels Kernels => new((time, view, line) => cells[time, view, line]?.Profile, Count, cells.GetLength(1), cells.GetLength(2), rows);

    public IEnumerable<NetCdfVariable> Variables()
    {
        yield return new("time", ["time"], NetCdfValues.Of([.. exposures.Select(w => WindDayFile.SecondsOfDay(day.Date, w.Profile.Time))]),
            [.. WindDayFile.TimeAttributes(day.Date, "middle of the exposure"), .. WindDayFile.Attributes(("axis", "T"))]);
        yield return new("exposure", ["time"], NetCdfValues.Of([.. exposures.Select(w => (double)w.Profile.Exposure)]), WindDayFile.Attributes(("long_name", "exposure number"), ("units", "1")));
        yield return new("orbit", ["time"], NetCdfValues.Of([.. exposures.Select(w => w.Orbit)]), WindDayFile.Attributes(("long_name", "orbit number"), ("units", "1")));
        yield return new("coefficient_set", ["time"], NetCdfValues.Of([.. exposures.Select(w => checked((int)(w.CoefficientSet ?? 0)))]),
            [.. WindDayFile.Attributes(("long_name", "coefficient set, by its number in this installation (0: none)")), .. names.SetAttributes()]);
        yield return new("held", ["time"], NetCdfValues.Of([.. exposures.Select(w => (sbyte)day.Held.GetValueOrDefault(w.Orbit))]), WindDayFile.HeldAttributes("the winds of the exposure's orbit", null));
        yield return PlaceOf("latitude", r => r.LatitudeRad * (180 / Math.PI), ("standard_name", "latitude"), ("long_name", "geodetic latitude of the tangent point"), ("units", "degrees_north"));
        yield return PlaceOf("longitude", r => r.LongitudeRad * (180 / Math.PI), ("standard_name", "longitude"), ("long_name", "longitude of the tangent point"), ("units", "degrees_east"));
        yield return PlaceOf("altitude", r => r.AltitudeKm, ("standard_name", "height_above_reference_ellipsoid"), ("long_name", "height of the tangent point over WGS 84"), ("units", "km"), ("positive", "up"));
        yield return WindDayGrid.Float("azimuth", Place, OfPlaces(r => r.AzimuthRad * (180 / Math.PI)), "latitude longitude altitude view_id",
            ("long_name", "direction of the look at the tangent point, clockwise from north"), ("units", "degree"));
        var grid = new WindDayGrid(Dimensions, Count * cells.GetLength(1) * cells.GetLength(2) * rows, Coordinates);
        yield return grid.Variable("los_wind", Of(r => r.WindMs), ("long_name", "horizontal wind along the look at the tangent point, away from the satellite"), ("units", "m s-1"),
            ("grid_mapping", "crs"), ("ancillary_variables", Ancillary));
        yield return grid.Variable("los_wind_error", Of(r => r.SigmaMs), ("long_name", "1 sigma of los_wind against the wind at the point, all terms of the budget"), ("units", "m s-1"));
        yield return grid.Variable("los_wind_error_through_kernel", Of(r => r.SigmaThroughKernelMs), ("long_name", "1 sigma of los_wind against the wind seen through the averaging kernel"), ("units", "m s-1"));
        yield return grid.Variable("vertical_resolution", Of(r => r.VerticalResolutionKm), ("long_name", "height that one degree of freedom of the profile spans"), ("units", "km"));
        yield return grid.Variable("averaging_kernel_diagonal", Of(r => r.KernelDiagonal), ("long_name", "share of the value that comes from the measurement at its height"), ("units", "1"));
        yield return grid.Variable("apparent_wind", Of(r => r.ApparentMs), ("long_name", "wind along the look before inversion, all corrections made"), ("units", "m s-1"),
            ("grid_mapping", "crs"), ("ancillary_variables", "apparent_wind_error los_wind_quality held"));
        yield return grid.Variable("apparent_wind_error", Of(r => r.ApparentSigmaMs), ("long_name", "1 sigma of apparent_wind"), ("units", "m s-1"));
        foreach (var (name, text, value) in Budget)
            yield return grid.Variable("los_wind_error_" + name, Of(r => value(r.Budget)), ("long_name", $"part of los_wind_error from {text}; the squares of the parts add up"), ("units", "m s-1"));
        foreach (var (name, value) in Turns)
            yield return grid.Variable("los_wind_change_" + name, Of(r => value(r.Budget.Attitude)), ("long_name", $"change of los_wind by +1 sigma of {name}, with its sign; its square is part of los_wind_error_attitude"),
                ("units", "m s-1"), ("comment", $"An error of {name} that nobody reports is common to all views and lines of some minutes: the covariance of two winds by it is the product of these numbers."));
        foreach (var variable in grid.Quality("los_wind_quality", "the line-of-sight wind", CellQuality)) yield return variable;
    }

    private static readonly (string Name, string Text, Func<WindErrorBudget, double> Value)[] Budget =
    [
        ("photon", "photon and read noise", b => b.PhotonMs), ("thermal", "the lamp and thermal correction", b => b.ThermalMs), ("image_shift", "the image shift", b => b.ImageShiftMs),
        ("zero_wind", "the zero wind", b => b.ZeroWindMs), ("ephemeris", "the satellite's speed", b => b.EphemerisMs), ("attitude", "the attitude", b => b.AttitudeMs),
        ("inversion", "the inversion: smoothing by the prior, emission, changes along the ray", b => b.InversionMs),
    ];

    private static readonly (string Name, Func<AttitudeErrors, double> Value)[] Turns = [("yaw", a => a.YawMs), ("pitch", a => a.PitchMs), ("roll", a => a.RollMs)];

    private LosWind? At(int cell)
    {
        var (rest, row) = Math.DivRem(cell, rows);
        (rest, var line) = Math.DivRem(rest, cells.GetLength(2));
        var (time, view) = Math.DivRem(rest, cells.GetLength(1));
        return cells[time, view, line] is { } stored && row < stored.Profile.Rows.Count ? stored.Profile.Rows[row] : null;
    }

    // A row without an inverted wind keeps its quality (bad) and the reason; its numbers, the budget's zeros among them, do not exist.
    private double[] Of(Func<LosWind, double> value) =>
        [.. Enumerable.Range(0, Count * cells.GetLength(1) * cells.GetLength(2) * rows).Select(c => At(c) is { } r && (double.IsFinite(r.WindMs) || double.IsFinite(r.ApparentMs)) ? Existing(r, value) : double.NaN)];

    private static double Existing(LosWind row, Func<LosWind, double> value) => value(row) is var x && x == 0 && !double.IsFinite(row.WindMs) ? double.NaN : x;

    private (WindQuality, IReadOnlyList<WindQualityReason>)? CellQuality(int cell) => At(cell) is { } row ? (row.Quality, row.Reasons) : null;

    // All lines of an exposure and view look at the same places.
    private double[] OfPlaces(Func<LosWind, double> value)
    {
        var values = new double[Count * cells.GetLength(1) * rows];
        for (var i = 0; i < values.Length; i++)
        {
            var (rest, row) = Math.DivRem(i, rows);
            var (time, view) = Math.DivRem(rest, cells.GetLength(1));
            values[i] = double.NaN;
            for (var line = 0; line < cells.GetLength(2) && !double.IsFinite(values[i]); line++)
                if (cells[time, view, line] is { } stored && row < stored.Profile.Rows.Count) values[i] = value(stored.Profile.Rows[row]);
        }
        return values;
    }

    private NetCdfVariable PlaceOf(string name, Func<LosWind, double> value, params (string, string?)[] attributes) =>
        WindDayGrid.Double(name, Place, OfPlaces(value), null, WindDayFile.Attributes(attributes));
}
