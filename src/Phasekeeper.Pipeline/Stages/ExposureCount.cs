using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;

namespace Phasekeeper.Pipeline.Stages;

/// <summary>
/// Exposures and detector rows of one orbit, expected by the cadence and received. Expected counts only the part of the orbit between the
/// mission's first exposure and mission time: what lies before or ahead is not missing.
/// </summary>
public sealed record ExposureCount(int ExpectedExposures, int ReceivedExposures, long ExpectedRows, long ReceivedRows, int ExpectedLamps)
{
    /// <summary>Counts an orbit; without a cadence what arrived is what was expected.</summary>
    public static ExposureCount Of(OrbitSlot orbit, IReadOnlyList<FringeResult> fringes, MissionState mission, Instant? firstExposure, Instant missionTime)
    {
        if (mission.Instrument is not { } instrument) return new(0, 0, -1, 0, 0);
        var received = fringes.Where(f => f.Kind is ExposureKind.Scene or ExposureKind.Lamp).ToArray();
        var exposures = received.Select(f => (f.Kind, f.Exposure, f.Time)).Distinct().Count();
        var rows = received.Sum(f => (long)f.Status.Count(s => s != RowStatus.Missing));
        if (mission.Profile.SceneSeconds <= 0 && mission.Profile.LampSeconds <= 0) return new(exposures, exposures, -1, rows, 0);

        var from = firstExposure is { } first && first > orbit.Start ? first : orbit.Start;
        var to = missionTime < orbit.End ? missionTime : orbit.End;
        var observed = firstExposure is null ? 0 : Math.Max(0, to - from);
        var scenes = Expected(observed, mission.Profile.SceneSeconds);
        var lamps = Expected(observed, mission.Profile.LampSeconds);
        var rowsEach = (long)instrument.Rows * instrument.Views.Count * instrument.Lines.Count;
        return new(scenes + lamps, exposures, (scenes + lamps) * rowsEach, rows, lamps);
    }

    // A cadence that does not divide the orbit gives one exposure more or less: the nearest count is what a healthy orbit has.
    private static int Expected(double observedS, double cadenceS) => cadenceS > 0 ? (int)Math.Round(observedS / cadenceS) : 0;
}
