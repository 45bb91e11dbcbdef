using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Winds;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Winds;

/// <summary>One component of a day's or an orbit's winds near one height on the world map, with the track of the tangent points and the terminator.</summary>
internal static class WindMap
{
    /// <summary>Makes the map.</summary>
    /// <param name="orbits">Orbits shown.</param>
    /// <param name="line">Line id.</param>
    /// <param name="eastward">Eastward or northward wind.</param>
    /// <param name="altitudeKm">Height; each exposure shows its vector nearest to it, within 10 km.</param>
    /// <param name="limit">Colours reach this far, m/s.</param>
    /// <param name="at">Moment of the terminator.</param>
    public static PlotDocument Document(IReadOnlyList<OrbitWinds> orbits, string line, bool eastward, double altitudeKm, double limit, Instant at)
    {
        var points = orbits.SelectMany(o => (o.Grids.GetValueOrDefault(line)?.Vectors ?? []).GroupBy(v => v.SecondExposure)
            .Select(g => (Orbit: o.Slot.Number, Vector: g.MinBy(v => Math.Abs(v.AltitudeKm - altitudeKm))!))).Where(p => Math.Abs(p.Vector.AltitudeKm - altitudeKm) <= 10).OrderBy(p => p.Vector.Time).ToArray();
        var word = eastward ? "eastward" : "northward";
        var traces = new List<PlotTrace> { Terminator(at) };
        foreach (var orbit in orbits) traces.Add(Track(orbit, line, altitudeKm));
        foreach (var (quality, name) in new[] { (WindQuality.Good, "good"), (WindQuality.Doubtful, "doubtful"), (WindQuality.Bad, "bad") })
        {
            var of = points.Where(p => p.Vector.Quality == quality).ToArray();
            if (of.Length == 0) continue;
            traces.Add(new PlotTrace
            {
                Name = name,
                Kind = PlotTraceKind.Points,
                Axis = "y0",
                Role = quality == WindQuality.Bad ? PlotRole.Context : PlotRole.Series,
                // Bad values are places only; doubtful ones have another sign.
                Colour = quality == WindQuality.Doubtful ? 2 : 1,
                X = [.. of.Select(p => p.Vector.LongitudeRad * (180 / Math.PI))],
                Y = [.. of.Select(p => p.Vector.LatitudeRad * (180 / Math.PI))],
                C = quality == WindQuality.Bad ? null : [.. of.Select(p => Math.Round(eastward ? p.Vector.EastwardMs : p.Vector.NorthwardMs, 1))],
                Scale = quality == WindQuality.Bad ? null : WindScale.Signed(limit, $"{word} wind"),
                Orbit = [.. of.Select(p => p.Orbit)],
                Note = [.. of.Select(p => string.Create(CultureInfo.InvariantCulture, $"± {(eastward ? p.Vector.EastwardSigmaMs : p.Vector.NorthwardSigmaMs):0.0} m/s, {p.Vector.AltitudeKm:0} km, {UtcText.DateAndTime(p.Vector.Time)} UTC, {name}"))],
                Key = "map",
            });
        }
        return new PlotDocument
        {
            Title = string.Create(CultureInfo.InvariantCulture, $"{line}, {word} wind near {altitudeKm:0} km"),
            Summary = points.Length == 0 ? "" : string.Create(CultureInfo.InvariantCulture,
                $"{points.Length} places near {altitudeKm:0} km, {points.Count(p => p.Vector.Quality == WindQuality.Good)} of them good. Dashed: where day and night meet on the ground at {UtcText.DateAndMinute(at)} UTC."),
            X = new PlotAxis("x", "Longitude", "° east") { Min = -180, Max = 180, Ticks = MapTicks.Of(-180, 180, 60) },
            Y = [new PlotAxis("y0", "Latitude", "° north") { Min = -90, Max = 90, Ticks = MapTicks.Of(-90, 90, 30) }],
            Map = true,
            Traces = points.Length == 0 ? [] : traces,
            EmptyText = string.Create(CultureInfo.InvariantCulture, $"No wind vectors of {line} within 10 km of {altitudeKm:0} km."),
        };
    }

    // The great circle 90° from the point below the Sun.
    private static PlotTrace Terminator(Instant at)
    {
        var sun = SunPosition.DirectionEcef(at);
        var declination = Math.Asin(sun.Z);
        var below = Math.Atan2(sun.Y, sun.X) * (180 / Math.PI);
        double[] longitudes = [.. Enumerable.Range(0, 181).Select(i => -180 + 2.0 * i)];
        return new PlotTrace
        {
            Name = "terminator",
            Kind = PlotTraceKind.Line,
            Axis = "y0",
            Role = PlotRole.Model,
            X = longitudes,
            // tan φ = −cos(hour angle) / tan δ; at the equinox (δ near 0) it runs along meridians, and the tangent is held finite.
            Y = [.. longitudes.Select(l => Math.Atan2(-Math.Cos((l - below) * (Math.PI / 180)), Math.Tan(Math.Abs(declination) < 1e-4 ? 1e-4 : Math.Abs(declination))) * (180 / Math.PI) * (declination < 0 ? -1 : 1))],
        };
    }

    private static PlotTrace Track(OrbitWinds orbit, string line, double altitudeKm)
    {
        List<double> x = [], y = [];
        foreach (var exposure in (orbit.Grids.GetValueOrDefault(line)?.Vectors ?? []).GroupBy(v => v.SecondExposure))
        {
            var v = exposure.MinBy(e => Math.Abs(e.AltitudeKm - altitudeKm))!;
            var longitude = v.LongitudeRad * (180 / Math.PI);
            // The date line breaks the track.
            if (x.Count > 0 && Math.Abs(longitude - x[^1]) > 180)
            {
                x.Add(longitude);
                y.Add(double.NaN);
            }
            x.Add(longitude);
            y.Add(v.LatitudeRad * (180 / Math.PI));
        }
        return new PlotTrace { Name = "track of the tangent points", Kind = PlotTraceKind.Line, Axis = "y0", Role = PlotRole.Context, InLegend = false, X = x, Y = y };
    }
}
