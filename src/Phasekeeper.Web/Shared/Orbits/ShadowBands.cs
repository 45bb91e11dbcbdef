using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Shared.Orbits;

/// <summary>The Earth's shadow as bands of a time plot.</summary>
public static class ShadowBands
{
    // Chosen: of more orbits than this the bands would merge into a hatching.
    private const int MostOrbits = 48;

    /// <summary>Bands within [from, to); none where no orbit file covers them or where there would be too many to tell apart.</summary>
    public static IReadOnlyList<PlotBand> Of(MissionState mission, Instant from, Instant to)
    {
        if (mission.Orbits.CountsDays || mission.Ephemerides.Files.Count == 0) return [];
        var orbits = mission.Orbits.In(from, to);
        if (orbits.Count > MostOrbits) return [];
        var bands = new List<PlotBand>();
        foreach (var orbit in orbits)
            foreach (var shadow in OrbitSky.Of(orbit, mission)?.Shadows ?? [])
            {
                var (start, end) = (shadow.Start > from ? shadow.Start : from, shadow.End < to ? shadow.End : to);
                if (end <= start) continue;
                // A shadow across the node is two stretches, one of each orbit.
                if (bands.Count > 0 && PlotTime.Of(start) - bands[^1].To < 1000) bands[^1] = bands[^1] with { To = PlotTime.Of(end) };
                else bands.Add(new PlotBand(PlotTime.Of(start), PlotTime.Of(end), PlotBandKind.Shadow, "Earth's shadow"));
            }
        return bands;
    }
}
