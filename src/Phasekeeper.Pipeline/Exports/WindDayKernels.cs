using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Exports.NetCdf;

namespace Phasekeeper.Pipeline.Exports;

/// <summary>
/// The averaging kernels of a day's file: what others need to compare a wind with a finer profile (Rodgers 2000, section 12.1). The prior's mean is zero wind, so a true profile as the instrument sees it is the kernel times its winds at
/// the kernel's heights, along the look.
/// </summary>
/// <param name="profiles">Profile of time, view and line; null where nothing was measured.</param>
/// <param name="times">Number of exposures.</param>
/// <param name="views">Number of views.</param>
/// <param name="lines">Number of lines.</param>
/// <param name="rows">Number of detector rows.</param>
internal sealed class WindDayKernels(Func<int, int, int, LosWindProfile?> profiles, int times, int views, int lines, int rows)
{
    /// <summary>Name of the dimension of the kernel's heights.</summary>
    public const string Dimension = "kernel_level";

    /// <summary>Most heights that a kernel of the day has; 0 where no profile was inverted: then there are no variables.</summary>
    public int Levels { get; } = Enumerable.Range(0, times * views * lines).Max(c => (int?)Profile(profiles, c, views, lines)?.KernelAltitudeKm.Length) ?? 0;

    /// <summary>Heights and kernels.</summary>
    public IEnumerable<NetCdfVariable> Variables()
    {
        if (Levels == 0) yield break;
        double[] altitude = new double[times * views * Levels], kernel = new double[times * views * lines * rows * Levels], length = new double[times * views * lines];
        Array.Fill(altitude, double.NaN);
        Array.Fill(kernel, double.NaN);
        for (var c = 0; c < length.Length; c++)
        {
            var profile = Profile(profiles, c, views, lines);
            length[c] = profile?.CorrelationKm ?? double.NaN;
            if (profile is null) continue;
            var u = profile.KernelAltitudeKm.Length;
            // All lines of an exposure and view look at the same places.
            profile.KernelAltitudeKm.CopyTo(altitude.AsSpan(c / lines * Levels));
            for (var k = 0; k < profile.MatrixRows.Length; k++) profile.AveragingKernel.AsSpan(k * u, u).CopyTo(kernel.AsSpan((c * rows + profile.MatrixRows[k]) * Levels));
        }
        yield return WindDayGrid.Float("kernel_altitude", ["time", "view", Dimension], altitude, "view_id",
            ("long_name", "heights of the averaging kernel over WGS 84: the tangent heights from the lowest up, then some above the top row"), ("units", "km"));
        yield return WindDayGrid.Float("averaging_kernel", ["time", "view", "line", "row", Dimension], kernel, "view_id line_id",
            ("long_name", "change of los_wind by the true wind along the look at kernel_altitude"), ("units", "1"),
            ("comment", "Optimal estimation with a Gaussian process of height as prior: mean 0, 1 sigma 100 m s-1, correlation length in regularisation_length. A true profile as los_wind shows it is the sum over kernel_level of averaging_kernel "
                + "times its winds along the look at kernel_altitude (nothing is added); the error against that is los_wind_error_through_kernel."));
        yield return WindDayGrid.Float("regularisation_length", ["time", "view", "line"], length, "view_id line_id", ("long_name", "correlation length of the wind with height that the profile was regularised with"), ("units", "km"));
    }

    private static LosWindProfile? Profile(Func<int, int, int, LosWindProfile?> profiles, int cell, int views, int lines)
    {
        var (rest, line) = Math.DivRem(cell, lines);
        var (time, view) = Math.DivRem(rest, views);
        return profiles(time, view, line) is { MatrixRows.Length: > 0 } profile ? profile : null;
    }
}
