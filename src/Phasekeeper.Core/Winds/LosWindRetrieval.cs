using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Winds;

/// <summary>
/// Layer winds of one exposure, view and line (domain.md section 3 steps 6–8 and 10).
/// <para>
/// Apparent wind of a row: <c>w = −(φ − φ_opt + 2πF·s/N)/κ + (w0 removed − w0 of the look) − zero wind</c>, κ at D0. Then all rows together: emission from the fringe amplitudes
/// (<see cref="EmissionFit"/>), winds from the phases by Gauss–Newton steps of optimal estimation with a Gaussian process of height as prior (zero mean, σ 100 m/s,
/// correlation length chosen per profile by the data's evidence), over WGS 84 paths and with the horizontal wind projected onto the ray at each point (<see cref="LimbModel"/>).
/// The weights know photon noise, the emission's own uncertainty, and changes along the ray that one exposure cannot see.
/// </para>
/// <para>
/// Uncertainty: the covariance of every term is carried through the gain; terms common to all rows (drift, shift, zero wind, ephemeris, attitude) as common errors. Reported σ is against
/// the wind at the point and includes smoothing; σ through the kernel leaves smoothing out. Measured honesty and accuracy: tests in Winds/WindHonestyTests and
/// Winds/ExampleMissionWindTests. The second-order Doppler term β²/2 (0.096 m/s) is not included.
/// References: C. D. Rodgers, Inverse Methods for Atmospheric Sounding (World Scientific, 2000), chapters 2, 3 and 5; Rasmussen and Williams, Gaussian Processes for Machine Learning
/// (2006), section 5.4 (evidence).
/// </para>
/// </summary>
public static class LosWindRetrieval
{
    /// <summary>Winds of an exposure. <paramref name="paths"/>: the geometry of the same looks, to share between the lines of an exposure.</summary>
    public static LosWindProfile Retrieve(LosWindInput input, LimbPaths? paths = null, LosWindOptions? options = null)
    {
        options ??= LosWindOptions.Default;
        paths ??= LimbPaths.TryBuild(input.Looks);
        var apparent = ApparentWinds.From(input);
        if (paths is null || apparent is null) return WindAssembly.WithoutInversion(input, apparent);

        var used = Enumerable.Range(0, paths.Count).Where(k => apparent.Usable[paths.RowOfNode[k]]).ToArray();
        if (used.Length < 3) return WindAssembly.WithoutInversion(input, apparent);
        return WindInversion.TryRun(input, paths, used, apparent, options) is { } inversion
            ? WindAssembly.Assemble(input, paths, apparent, inversion, options)
            : WindAssembly.WithoutInversion(input, apparent);
    }

    /// <summary>The winds of an exposure as they would be without the inversion: each row's apparent wind, with its own error budget and covariance. <paramref name="inverted"/>: its winds by <see cref="Retrieve"/>.</summary>
    public static LosWindProfile WithoutInversion(LosWindInput input, LosWindProfile inverted) =>
        ApparentWinds.From(input) is { } apparent ? WindAssembly.Apparent(input, apparent, inverted) : inverted;
}

/// <summary>Corrected phases as speeds before inversion; arrays over detector rows.</summary>
internal sealed record ApparentWinds(bool[] Usable, double[] WindMs, double[] PhotonMs, double[] Amplitude, double ThermalMs, double ImageShiftMs)
{
    /// <summary>Apparent winds of an exposure; null without a drift.</summary>
    public static ApparentWinds? From(LosWindInput input)
    {
        if (input.Drift is not { } drift) return null;
        var fringe = input.Fringe;
        var rows = fringe.Status.Length;
        var kappa = input.Line.KappaAtMeanRadPerMs;
        var radPerSample = 2 * Math.PI * input.Line.Cycles / input.Samples;
        var correction = drift.DriftRad - radPerSample * input.Shift.ShiftSamples;
        var result = new ApparentWinds(new bool[rows], Filled(rows), Filled(rows), Filled(rows), 0, 0);
        for (var r = 0; r < rows; r++)
        {
            if (fringe.Status[r] != RowStatus.Ok || !(fringe.PhaseSigmaRad[r] > 0) || !double.IsFinite(fringe.PhaseRad[r])) continue;
            var amplitude = fringe.SignalElectrons[r] * fringe.Visibility[r];
            if (!(amplitude > 0) || !double.IsFinite(amplitude)) continue;
            var phase = Math.IEEERemainder(fringe.PhaseRad[r] - correction, 2 * Math.PI);
            result.Usable[r] = true;
            result.WindMs[r] = -phase / kappa + fringe.VelocityRemovedMs[r] - input.Looks[r].MotionMs - input.ZeroWindOffsetMs;
            result.PhotonMs[r] = fringe.PhaseSigmaRad[r] / kappa;
            result.Amplitude[r] = amplitude;
        }
        // Error of the sum φ_opt + φ_img, parted into what follows the shift's error and what is independent of it: the squares add up.
        var shiftVariance = input.Shift.SigmaSamples * input.Shift.SigmaSamples;
        var slope = shiftVariance > 0 ? drift.ShiftCovarianceRadSamples / shiftVariance : 0;
        var thermal = Math.Sqrt(Math.Max(0, drift.SigmaRad * drift.SigmaRad - slope * slope * shiftVariance)) / kappa;
        var shift = Math.Abs(radPerSample - slope) * input.Shift.SigmaSamples / kappa;
        return result with { ThermalMs = thermal, ImageShiftMs = shift };
    }

    private static double[] Filled(int count)
    {
        var a = new double[count];
        Array.Fill(a, double.NaN);
        return a;
    }
}
