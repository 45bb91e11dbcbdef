using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Pipeline.ZeroWind;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Drift;

/// <summary>What the zero-wind tracker says of the newest day, as it is stored.</summary>
internal static class ClaimedZeroWind
{
    // Chosen: a day without winds, or a few, is bridged; an older estimate is about another instrument.
    private const int MostDays = 7;

    /// <summary>Estimates of the newest day up to a moment, one a line; none as <see cref="NewestDay"/> says.</summary>
    public static IReadOnlyList<ZeroWindEstimate> Of(Instant end, CoefficientSet set, MissionState mission, Stores stores) => NewestDay(end, set, mission, stores)?.Estimates ?? [];

    /// <summary>
    /// The newest day (since 1970-01-01) up to a moment with its estimates, one a line, and the set that its winds were made with; null while estimates wait to be solved anew, or where their winds were made with
    /// other zero-wind phases than a set's: their offset is one from those.
    /// </summary>
    public static (long Day, CoefficientSet Made, IReadOnlyList<ZeroWindEstimate> Estimates)? NewestDay(Instant end, CoefficientSet set, MissionState mission, Stores stores)
    {
        var day = end.ToUnixDay().UnixDay;
        var all = stores.ZeroWinds.Read(day - MostDays, day);
        if (all.Count == 0 || stores.Work.Peek(WorkKinds.ZeroWind, 1).Count > 0) return null;
        var newest = all.Max(a => a.Day);
        if (ZeroWindStage.FirstOrbitOf(newest, mission, stores) is not { } number || mission.Orbits.Of(number) is not { } orbit || mission.Coefficients.At(orbit.Start) is not { } made
            || !WindSums.ZeroPhases(made.Set).AsSpan().SequenceEqual(WindSums.ZeroPhases(set))) return null;
        return (newest, made.Set, [.. all.Where(z => z.Day == newest).Select(z => z.Estimate)]);
    }
}
