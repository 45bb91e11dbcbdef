using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Web.Api;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>What plot endpoints share.</summary>
public static class PlotMission
{
    /// <summary>The mission; answers 503 while it is being loaded.</summary>
    public static MissionState Of(PipelineEngine engine) =>
        engine.Mission ?? throw new ApiProblemException(StatusCodes.Status503ServiceUnavailable, "The mission is still being loaded. Try again in a few seconds.");

    /// <summary>Orbit number of each moment for a trace's read-out; null for a mission without orbits. 0 where none is known.</summary>
    public static IReadOnlyList<int>? OrbitsOf(MissionState mission, IReadOnlyList<Instant> times) =>
        mission.Orbits.CountsDays ? null : [.. times.Select(t => mission.Orbits.At(t)?.Number ?? 0)];
}
