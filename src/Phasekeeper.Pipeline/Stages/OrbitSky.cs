using Phasekeeper.Core.Geometry;
using Phasekeeper.Core.Orbits;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>Sun and shadow on one orbit, with the orbit file they were computed from.</summary>
public sealed record OrbitSky(OrbitSetting Setting, long EphemerisFile, IReadOnlyList<TimeStretch> Shadows)
{
    /// <summary>Computes them; null where no orbit file covers the orbit.</summary>
    public static OrbitSky? Of(OrbitSlot orbit, MissionState mission)
    {
        var middle = orbit.Start.AddSeconds((orbit.End - orbit.Start) / 2);
        if (mission.Orbits.CountsDays || !mission.Ephemerides.TryGetState(middle, out var state, out var file)) return null;
        var shadows = Eclipse.Shadows(ShadowKind.Umbra, file.Ephemeris, Later(orbit.Start, file.Ephemeris.Start), Earlier(orbit.End, file.Ephemeris.End));
        var setting = new OrbitSetting
        {
            BetaDeg = Eclipse.BetaRad(state, SunPosition.At(middle)) * (180 / Math.PI),
            // A share of part of an orbit would say nothing of the orbit: it is told when a file covers all of it.
            EclipseFraction = orbit.IsWhole && file.Ephemeris.Start <= orbit.Start && file.Ephemeris.End >= orbit.End ? shadows.Sum(s => s.End - s.Start) / (orbit.End - orbit.Start) : null,
            Sunlit = [.. Sunlit(orbit, shadows)],
        };
        return new(setting, file.FileId, shadows);
    }

    private static IEnumerable<TimeStretch> Sunlit(OrbitSlot orbit, IReadOnlyList<TimeStretch> shadows)
    {
        var from = orbit.Start;
        foreach (var shadow in shadows)
        {
            if (shadow.Start > from) yield return new(from, shadow.Start);
            from = Later(from, shadow.End);
        }
        if (from < orbit.End) yield return new(from, orbit.End);
    }

    private static Instant Later(Instant a, Instant b) => a > b ? a : b;

    private static Instant Earlier(Instant a, Instant b) => a < b ? a : b;
}
