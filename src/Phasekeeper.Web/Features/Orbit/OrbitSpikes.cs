using System.Globalization;
using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Orbit;

/// <summary>Spikes at the point below the satellite, on a map with the South Atlantic region of weak magnetic field.</summary>
internal static class OrbitSpikes
{
    private const double TrackStepS = 20;

    /// <summary>Makes the plot.</summary>
    public static PlotDocument Document(OrbitContents orbit)
    {
        var spikes = SpikeMap.Of(orbit.Analysis.Input).GroupBy(s => (s.Exposure, s.Time)).Select(g => g.First() with { SpikesPerFrame = g.Sum(s => s.SpikesPerFrame) })
            .OrderBy(s => s.Time).ToArray();
        var traces = new List<PlotTrace>();
        var track = Track(orbit);
        if (track.Count > 0)
        {
            traces.Add(Line("South Atlantic region", [.. SouthAtlanticOutline.At(track[track.Count / 2].Place.AltitudeM, orbit.Slot.Start)], PlotRole.Critical));
            traces.Add(Line("ground track", [.. Broken(track.Select(t => (Degrees(t.Place.LongitudeRad), Degrees(t.Place.LatitudeRad))))], PlotRole.Context));
        }
        if (spikes.Length > 0)
            traces.Add(new PlotTrace
            {
                Name = "spikes per exposure",
                Kind = PlotTraceKind.Points,
                Axis = "y0",
                X = [.. spikes.Select(s => s.LongitudeDeg)],
                Y = [.. spikes.Select(s => s.LatitudeDeg)],
                C = [.. spikes.Select(s => s.SpikesPerFrame)],
                Scale = new PlotColourScale("Spikes", null, false, 0, Math.Max(1, spikes.Max(s => s.SpikesPerFrame))),
                Note = [.. spikes.Select(s => $"exposure {s.Exposure}, {UtcText.DateAndTime(s.Time)} UTC")],
            });
        var most = spikes.Length == 0 ? default : spikes.MaxBy(s => s.SpikesPerFrame);
        return new PlotDocument
        {
            Title = $"Spikes on the ground track of orbit {orbit.Slot.Number}",
            Summary = spikes.Length == 0 ? "" : string.Create(CultureInfo.InvariantCulture,
                $"{spikes.Sum(s => s.SpikesPerFrame):0} masked samples in {spikes.Length} scene exposures; most, {most.SpikesPerFrame:0}, at {most.LatitudeDeg:0.0}° latitude, {most.LongitudeDeg:0.0}° longitude. Outlined: field below {GeomagneticField.SouthAtlanticLimitNanotesla / 1000:0} µT at the satellite's height.").Replace('-', '−'),
            X = new PlotAxis("x", "Longitude", "° east") { Min = -180, Max = 180, Ticks = MapTicks.Of(-180, 180, 60) },
            Y = [new PlotAxis("y0", "Latitude", "° north") { Min = -90, Max = 90, Ticks = MapTicks.Of(-90, 90, 30) }],
            Map = true,
            Traces = spikes.Length == 0 ? [] : traces,
            EmptyText = orbit.Sky is null ? "No orbit file covers this orbit, so that the place of its exposures is not known." : "No scene exposure arrived on this orbit.",
        };
    }

    private static List<(Instant Time, Geodetic Place)> Track(OrbitContents orbit)
    {
        var track = new List<(Instant, Geodetic)>();
        for (var t = orbit.Slot.Start; t < orbit.Slot.End; t = t.AddSeconds(TrackStepS))
            if (orbit.Mission.Ephemerides.TryGetState(t, out var state, out _)) track.Add((t, Wgs84.ToGeodetic(new LookGeometry(t, state).SatelliteEcefM)));
        return track;
    }

    private static PlotTrace Line(string name, (double X, double Y)[] points, PlotRole role) => new()
    {
        Name = name,
        Kind = PlotTraceKind.Line,
        Axis = "y0",
        Role = role,
        X = [.. points.Select(p => p.X)],
        Y = [.. points.Select(p => p.Y)],
    };

    // The date line breaks the track.
    private static IEnumerable<(double, double)> Broken(IEnumerable<(double X, double Y)> points)
    {
        var last = double.NaN;
        foreach (var p in points)
        {
            if (Math.Abs(p.X - last) > 180) yield return (p.X, double.NaN);
            yield return p;
            last = p.X;
        }
    }

    private static double Degrees(double rad) => rad * (180 / Math.PI);
}
