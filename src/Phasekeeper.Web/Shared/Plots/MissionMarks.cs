using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Web.Shared.Orbits;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>What surrounds any series on a time axis: the Earth's shadow, planned activities, and other coefficient sets taking effect.</summary>
public static class MissionMarks
{
    /// <summary>Shadows and activities that touch [from, to).</summary>
    public static IReadOnlyList<PlotBand> Bands(MissionState mission, Instant from, Instant to) => [.. ShadowBands.Of(mission, from, to), .. Activities(mission, from, to)];

    /// <summary>Planned activities that touch [from, to).</summary>
    public static IEnumerable<PlotBand> Activities(MissionState mission, Instant from, Instant to) => mission.Activities
        .Where(activity => activity.From < to && activity.To > from)
        .Select(activity => new PlotBand(PlotTime.Of(activity.From), PlotTime.Of(activity.To), PlotBandKind.Activity, activity.Summary));

    /// <summary>Moments within the range at which another coefficient set takes effect.</summary>
    public static IEnumerable<PlotMarker> SetChanges(MissionState mission, Instant from, Instant to) => mission.Coefficients.Entries
        .Where(entry => entry.From > from && entry.From < to)
        .Select(entry => new PlotMarker(PlotTime.Of(entry.From), PlotMarkerKind.SetChange, $"Coefficient set “{entry.Set.Name}” from {UtcText.DateAndMinute(entry.From)} UTC"));
}
