using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Shared.Plots;

/// <summary>Times on a plot's axis: milliseconds of UTC since 1970-01-01 (days of 86,400 s, as browsers count).</summary>
public static class PlotTime
{
    /// <summary>Place of a moment on the axis.</summary>
    public static double Of(Instant time) => Math.Round(time.ToUnixSeconds() * 1000, 3);

    /// <summary>Moment at a place on the axis.</summary>
    public static Instant ToInstant(double place) => Instant.FromUnixSeconds(place / 1000);
}
