using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Thermal;

/// <summary>
/// Optical drift from lamp exposures (domain.md section 3 step 6; the lamp's phase is defined in contract.md section 2):
/// <c>φ_opt = ρ·(phase − lampPhaseRad + 2πF_L·s/N)</c>. All rows of an exposure share one drift: it is their mean weighted by 1/σ².
/// <para>
/// Phases are known modulo 2π. The rows are unwrapped about their own circular mean, the exposure about the model's prediction plus the offset of the
/// exposures before it (a running mean of three), so an offset may grow beyond π within the window. The first exposure's offset is taken in (−π, π] of the
/// lamp, about the circular mean of all exposures of the window: a whole number of turns is not measurable and changes no wind.
/// </para>
/// </summary>
public static class OpticalDrift
{
    private const double Turn = 2 * Math.PI;

    /// <summary>Drift at each lamp exposure, in time order. Exposures without a usable row, or at a time without temperature, are left out.</summary>
    /// <param name="instrument">The instrument.</param>
    /// <param name="line">Its line.</param>
    /// <param name="optics">Coefficients of the view and line.</param>
    /// <param name="lamps">Lamp results of the view and line, in time order.</param>
    /// <param name="model">Thermal model of the same coefficients.</param>
    /// <param name="shift">s(t) of the view.</param>
    public static IReadOnlyList<LampDriftPoint> Measure(
        InstrumentModel instrument, LineModel line, OpticsCoefficients optics, IReadOnlyList<FringeResult> lamps, ThermalModel model, SmoothImageShift shift)
    {
        var shiftRadPerSample = Turn * line.LampCycles / instrument.Samples;
        var raw = new List<LampDriftPoint>();
        foreach (var lamp in lamps)
        {
            if (!model.TryGet(lamp.Time, out var modelRad, out var lagged)) continue;
            if (MeanPhase(lamp) is not { } phase) continue;
            var s = shift.At(lamp.Time);
            var drift = optics.LampRatio * (phase.MeanRad - optics.LampPhaseRad + shiftRadPerSample * s.ShiftSamples);
            raw.Add(new(lamp.Time, drift, Math.Abs(optics.LampRatio) * phase.SigmaRad, modelRad, lagged,
                optics.LampRatio * shiftRadPerSample, s.SigmaSamples, phase.ReducedChiSquare, phase.Rows));
        }
        return Unwrap(raw, Turn * Math.Abs(optics.LampRatio));
    }

    /// <summary>Mean phase of an exposure's usable rows, rad (some turn), with its 1σ and the rows' χ²; null without a usable row.</summary>
    public static (double MeanRad, double SigmaRad, double ReducedChiSquare, int Rows)? MeanPhase(FringeResult lamp)
    {
        double re = 0, im = 0, weights = 0;
        var rows = 0;
        for (var r = 0; r < lamp.Status.Length; r++)
        {
            if (!Usable(lamp, r)) continue;
            var w = 1 / (lamp.PhaseSigmaRad[r] * lamp.PhaseSigmaRad[r]);
            re += w * Math.Cos(lamp.PhaseRad[r]);
            im += w * Math.Sin(lamp.PhaseRad[r]);
            weights += w;
            rows++;
        }
        if (rows == 0) return null;
        var centre = Math.Atan2(im, re);
        double sum = 0, squares = 0;
        for (var r = 0; r < lamp.Status.Length; r++)
        {
            if (!Usable(lamp, r)) continue;
            var w = 1 / (lamp.PhaseSigmaRad[r] * lamp.PhaseSigmaRad[r]);
            var d = Math.IEEERemainder(lamp.PhaseRad[r] - centre, Turn);
            sum += w * d;
            squares += w * d * d;
        }
        var mean = sum / weights;
        var chi = rows > 1 ? Math.Max(0, squares - sum * mean) / (rows - 1) : double.NaN;
        // Rows that disagree by more than their σ say that σ is too small: it is widened, never narrowed.
        return (centre + mean, Math.Sqrt(Math.Max(1, double.IsNaN(chi) ? 1 : chi) / weights), chi, rows);
    }

    private static bool Usable(FringeResult lamp, int row) =>
        lamp.Status[row] == RowStatus.Ok && double.IsFinite(lamp.PhaseRad[row]) && lamp.PhaseSigmaRad[row] > 0;

    private static LampDriftPoint[] Unwrap(List<LampDriftPoint> raw, double turn)
    {
        if (raw.Count == 0) return [];
        double re = 0, im = 0;
        foreach (var p in raw)
        {
            re += Math.Cos(p.OffsetRad / turn * Turn);
            im += Math.Sin(p.OffsetRad / turn * Turn);
        }
        var result = new LampDriftPoint[raw.Count];
        var expected = Math.Atan2(im, re) / Turn * turn;
        for (var i = 0; i < raw.Count; i++)
        {
            if (i > 0)
            {
                var first = Math.Max(0, i - 3);
                expected = 0;
                for (var k = first; k < i; k++) expected += result[k].OffsetRad / (i - first);
            }
            var offset = expected + Math.IEEERemainder(raw[i].OffsetRad - expected, turn);
            result[i] = raw[i] with { MeasuredRad = raw[i].ModelRad + offset };
        }
        return result;
    }
}
