using System.Collections.Concurrent;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// Phases, signals and image shift of the exposures of one view and line under one coefficient set (domain.md section 3 steps 1–5).
/// Prepared once; <see cref="Retrieve"/> may be called from several threads at once. Same frame, same bits.
/// </summary>
/// <remarks>
/// <para>Model of a row: domain.md section 2. Scene phase: what is left after Ψ, Z_r and the motion −κ_i·w0 are taken out sample by sample,
/// referred to D0; optical drift, image shift and the wind −κ(D0)·wind are still in. Lamp phase: lampPhaseRad + φ_opt/ρ − 2πF_L·s/N.</para>
/// <para>The wind's own slope κ_i − κ(D0) is fitted in every scene row under a prior of <see cref="WindPriorMs"/>, so that it does not
/// leak into the phase (see <see cref="PhaseFit"/>). On lamp exposures the slope is one number for all rows: the fringe frequency.</para>
/// <para>Fiducials: rows are first fitted, unweighted, without the samples near notches, then s is measured from all rows jointly, then all samples
/// are used with q_i(s). The uncertainty of s is part of the phase uncertainty. Where s cannot be measured the
/// prediction is used for the notches.</para>
/// <para>Accuracy, measured by FringeAccuracyTests over 12 cells from 300 to 20,000 e⁻ and visibility 0.3 to 0.9: mean-square error within
/// 1.04 of the Cramér–Rao bound, bias below 0.05σ, reported σ right to 3 %.</para>
/// </remarks>
public sealed class FringeRetrieval
{
    /// <summary>Prior (1σ) of the speed that is left in a scene row after the motion is removed, m/s. Chosen: winds reach 220 m/s at times.</summary>
    public const double WindPriorMs = 300;
    /// <summary>An image shift with a larger 1σ than this counts as not measured, samples (chosen).</summary>
    public const double LargestShiftSigmaSamples = 0.5;

    private const int ShiftRounds = 4;
    // A move of s is carried linearly into the rows where what that neglects, half the move over a notch's width of it, is below this share of the σ of s; else rows are refitted.
    private const double CarriedSigma = 0.1;
    // A row's slope is a guess for the next when its 1σ, as phase at the row's end, is below this, rad (chosen: where a slope begins to matter).
    private const double GuessedRad = 0.02;

    private readonly InstrumentModel instrument;
    private readonly CoefficientSet coefficients;
    private readonly LineModel line;
    private readonly string view;
    private readonly FringePatterns patterns;
    private readonly FiducialNotches notches;
    private readonly PhaseFitOptions options;
    private readonly ConcurrentBag<FrameWork> idle = [];
    private readonly double kappaFirst, kappaStep, slopePrior;

    /// <summary>Prepares the patterns of <paramref name="view"/> and <paramref name="line"/>.</summary>
    /// <exception cref="ArgumentException">The instrument has no such line, or the set no optics for them, or a flat or zero wind of another size.</exception>
    public FringeRetrieval(InstrumentModel instrument, CoefficientSet coefficients, string view, string line, PhaseFitOptions? options = null)
    {
        this.instrument = instrument;
        this.coefficients = coefficients;
        this.view = view;
        this.options = options ?? new PhaseFitOptions();
        this.line = instrument.Lines.FirstOrDefault(l => l.Id == line)
            ?? throw FringeErrors.UnknownLine(line, instrument.Lines.Select(l => l.Id));
        var optics = coefficients.OpticsOf(view, line) ?? throw FringeErrors.NoOptics(coefficients.Name, view, line);
        FringeErrors.CheckSizes(coefficients.Name, optics, instrument);
        patterns = new FringePatterns(instrument, coefficients, optics, this.line);
        notches = new FiducialNotches(instrument.Fiducials, instrument.Samples);
        kappaFirst = this.line.KappaRadPerMs(0, instrument.CentreSample);
        kappaStep = 2 * Math.PI * this.line.WavenumberPerM * this.line.OpdStepUm * 1e-6 / LineModel.SpeedOfLightMs;
        // Rows of constant path difference have no slope; a prior of zero width would divide by zero.
        slopePrior = Math.Max(WindPriorMs * Math.Abs(kappaStep), 1e-9);
    }

    /// <summary>Retrieves one exposure.</summary>
    /// <param name="frame">Counts of the exposure; of this retrieval's view and line.</param>
    /// <param name="detectorC">Detector temperature, °C, for the dark; NaN: the dark law's reference is used.</param>
    /// <param name="motionMsPerRow">w0 = (ω⊕ × r_t)·û − v_sc·û of each row, m/s (recession positive); scenes only. NaN: the row has no phase.</param>
    /// <param name="imageShiftPrediction">s from the bench law, samples: where the search for the fiducials starts, and used where they cannot be measured.</param>
    public FringeResult Retrieve(FringeFrame frame, double detectorC, ReadOnlySpan<double> motionMsPerRow, double imageShiftPrediction)
    {
        FringeErrors.CheckFrame(frame, view, line.Id, instrument, motionMsPerRow.Length);
        var darkRate = coefficients.Dark.RateAt(double.IsFinite(detectorC) ? detectorC : coefficients.Dark.ReferenceC);
        var result = FringeResults.Empty(frame, instrument.Rows, detectorC);
        if (!idle.TryTake(out var work)) work = new FrameWork(instrument.Rows, instrument.Samples);
        try
        {
            if (frame.Kind == ExposureKind.Dark)
                return DarkExposure.Measure(frame, instrument, coefficients.Dark, patterns, result);
            var shift = double.IsFinite(imageShiftPrediction) ? imageShiftPrediction : 0;
            return Fit(frame, Prepare(frame, darkRate * frame.IntegrationS, work), motionMsPerRow, shift, result, last: 0);
        }
        finally
        {
            idle.Add(work);
        }
    }

    /// <summary>
    /// One row of an exposure with the model that <see cref="Retrieve"/> fits to it; null where the row's packet is missing. Parameters as there. The model has
    /// the row's own slope of phase, also on a lamp exposure. A dark exposure's model is the dark law.
    /// </summary>
    public FittedRow? Fitted(FringeFrame frame, double detectorC, ReadOnlySpan<double> motionMsPerRow, double imageShiftPrediction, int row)
    {
        FringeErrors.CheckFrame(frame, view, line.Id, instrument, motionMsPerRow.Length);
        ArgumentOutOfRangeException.ThrowIfNegative(row);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(row, instrument.Rows);
        if (frame.Rows[row] is not { } counts) return null;
        var darkElectrons = coefficients.Dark.RateAt(double.IsFinite(detectorC) ? detectorC : coefficients.Dark.ReferenceC) * frame.IntegrationS;
        var prediction = double.IsFinite(imageShiftPrediction) ? imageShiftPrediction : 0;
        if (!idle.TryTake(out var work)) work = new FrameWork(instrument.Rows, instrument.Samples);
        try
        {
            var rows = Prepare(frame, darkElectrons, work);
            if (frame.Kind == ExposureKind.Dark)
            {
                work.Fits[row] = new RowFit { Status = RowStatus.Ok };
                LoadRow(frame, rows, row, [], work.Row, FringeResults.Empty(frame, instrument.Rows, detectorC));
            }
            else
            {
                var result = Fit(frame, rows, motionMsPerRow, prediction, FringeResults.Empty(frame, instrument.Rows, detectorC), last: row);
                work.Fits[row].Status = result.Status[row];
                // The last step of the shift was carried into the rows' parameters: the notches follow it here.
                notches.Fill(double.IsFinite(result.ImageShiftSamples) ? result.ImageShiftSamples : prediction, work.Notch);
            }
            return Compare(rows, counts, darkElectrons, row, frame.Kind == ExposureKind.Dark);
        }
        finally
        {
            idle.Add(work);
        }
    }

    private FittedRow Compare(FrameRows rows, ushort[] counts, double darkElectrons, int row, bool dark)
    {
        var data = rows.Row(row, rows.Work.Row);
        var (fit, gain, bias, n) = (rows.Fits[row], instrument.ElectronsPerCount, coefficients.Dark.BiasCounts, instrument.Samples);
        var p = fit.Parameters;
        var isFitted = fit.Status is RowStatus.Ok or RowStatus.NoFringe;
        double[] model = new double[n], sigma = new double[n];
        var used = new bool[n];
        for (var i = 0; i < n; i++)
        {
            var turn = data.Offset[i] * (p.C * data.Sin[i] - p.S * data.Cos[i]);
            var mean = data.Notch[i] * (p.A * data.Flat[i] + p.C * data.Cos[i] + p.S * data.Sin[i] + p.Beta * turn);
            model[i] = isFitted ? bias + (mean + darkElectrons) / gain : double.NaN;
            sigma[i] = isFitted ? Math.Sqrt(Math.Max(mean, 0) + rows.VarianceFloor) / gain : double.NaN;
            used[i] = dark ? data.Allowed[i] != 0 : isFitted && data.Use[i] != 0;
        }
        return new FittedRow { Status = fit.Status, Counts = [.. counts.Select(c => (double)c)], ModelCounts = model, SigmaCounts = sigma, Used = used };
    }

    private FrameRows Prepare(FringeFrame frame, double darkElectrons, FrameWork work)
    {
        var gain = instrument.ElectronsPerCount;
        work.DarkElectrons = darkElectrons;
        return new FrameRows
        {
            Patterns = patterns,
            Work = work,
            VarianceFloor = Math.Max(darkElectrons, 0) + instrument.ReadNoiseElectrons * instrument.ReadNoiseElectrons + gain * gain / 12,
            SaturationElectrons = (instrument.SaturationCounts - coefficients.Dark.BiasCounts) * gain - darkElectrons,
            Fringes = frame.Kind != ExposureKind.Flat,
        };
    }

    /// <summary>
    /// One row's counts to electrons, mask and pattern with motion and known slope turned in, into <paramref name="at"/>; an unweighted start of its fit where it has none.
    /// </summary>
    private void LoadRow(FringeFrame frame, FrameRows rows, int r, ReadOnlySpan<double> motion, RowWork at, FringeResult result)
    {
        ref var fit = ref rows.Fits[r];
        var counts = frame.Rows[r]!;
        int n = instrument.Samples, stride = patterns.Stride;
        if (n != stride) counts.CopyTo(rows.Work.Counts, 0);
        var (cos, sin) = frame.Kind switch
        {
            ExposureKind.Scene => (patterns.SceneCos, patterns.SceneSin),
            ExposureKind.Lamp => (patterns.LampCos, patterns.LampSin),
            _ => (patterns.None, patterns.None),
        };
        var from = r * stride;
        var load = new RowLoad
        {
            Counts = n != stride ? rows.Work.Counts : counts,
            FromCos = cos.AsSpan(from, stride),
            FromSin = sin.AsSpan(from, stride),
            Good = patterns.Good.AsSpan(from, stride),
            Far = rows.Work.Notch.Far,
            Gain = instrument.ElectronsPerCount,
            Pedestal = coefficients.Dark.BiasCounts * instrument.ElectronsPerCount + rows.Work.DarkElectrons,
            Saturation = instrument.SaturationCounts,
        };
        var w0 = frame.Kind == ExposureKind.Scene ? motion[r] : 0;
        var sums = load.Run(rows.Row(r, at), fit.TurnedSlope * patterns.Offset[0] - kappaFirst * w0, fit.TurnedSlope - kappaStep * w0);
        if (!fit.Started) fit.Started = sums.TrySolve(rows.Fringes, out fit.Parameters);
        fit.Usable = load.Usable;
        result.SaturatedSamples[r] = load.Saturated;
        result.VelocityRemovedMs[r] = w0;
    }

    /// <summary>Fits all rows, <paramref name="last"/> at the end, with the image shift that they have in common, and fills the result.</summary>
    private FringeResult Fit(FringeFrame frame, FrameRows rows, ReadOnlySpan<double> motion, double prediction, FringeResult result, int last)
    {
        var notch = rows.Work.Notch;
        for (var r = 0; r < rows.Rows; r++)
        {
            var noMotion = frame.Kind == ExposureKind.Scene && !double.IsFinite(motion[r]);
            rows.Fits[r] = new RowFit { Status = frame.Rows[r] is null ? RowStatus.Missing : noMotion ? RowStatus.NoMotion : RowStatus.NotConverged };
        }
        notches.Mark(prediction, 4, 2, notch);
        double shift = prediction, information = 0;
        var measured = false;
        if (notches.Any)
        {
            Span<int> scouts = stackalloc int[ImageShiftFit.Scouts];
            scouts = scouts[..Brightest(frame, rows, scouts)];
            for (var k = 0; k < scouts.Length; k++) LoadRow(frame, rows, scouts[k], motion, rows.Work.Scouts[k], result);
            if (ImageShiftFit.TryStart(rows, notches, scouts, prediction, out var start)) (measured, shift) = (true, start);
        }
        notches.Fill(shift, notch);
        for (var round = 0; ; round++)
        {
            FitRows(frame, rows, motion, result, last, measured);
            if (!measured) break;
            ImageShiftFit.JointStep(rows, out var move, out information);
            measured = information > 1 / (LargestShiftSigmaSamples * LargestShiftSigmaSamples);
            shift = measured ? shift + move : prediction;
            if (measured && (0.5 * move * move / notches.NarrowestSamples * Math.Sqrt(information) < CarriedSigma || round == ShiftRounds))
            {
                for (var r = 0; r < rows.Rows; r++) rows.Work.Couplings[r].Carry(ref rows.Fits[r], move);
                break;
            }
            notches.Fill(shift, notch);
        }
        if (!measured) rows.Work.Couplings.AsSpan().Clear();
        var shiftVariance = measured ? 1 / information : 0;
        return FringeResults.Fill(rows, shift, shiftVariance, measured, slopePrior, line.LampCycles, options, result);
    }

    /// <summary>The rows with the most light, by a few samples of each; returns how many there are.</summary>
    private static int Brightest(FringeFrame frame, FrameRows rows, Span<int> into)
    {
        Span<long> light = stackalloc long[into.Length];
        var found = 0;
        for (var r = 0; r < rows.Rows; r++)
        {
            if (rows.Fits[r].Status != RowStatus.NotConverged) continue;
            long sum = 0;
            var counts = frame.Rows[r]!;
            // An odd stride, so that a fringe's period does not decide.
            for (var i = 0; i < counts.Length; i += 7) sum += counts[i];
            var k = found < into.Length ? found++ : into.Length;
            for (; k > 0 && light[k - 1] < sum; k--)
                if (k < into.Length) (into[k], light[k]) = (into[k - 1], light[k - 1]);
            if (k < into.Length) (into[k], light[k]) = (r, sum);
        }
        return found;
    }

    private void FitRows(FringeFrame frame, FrameRows rows, ReadOnlySpan<double> motion, FringeResult result, int last, bool shifts)
    {
        var slope = 0.0;
        for (var k = 0; k < rows.Rows; k++)
        {
            // All others in their order, then the last.
            var r = k == rows.Rows - 1 ? last : k < last ? k : k + 1;
            ref var fit = ref rows.Fits[r];
            if (fit.Status is RowStatus.Missing or RowStatus.NoMotion) continue;
            // The slope of the row before is a good guess where the wind has one: it is turned in at once.
            if (fit.Status == RowStatus.NotConverged && frame.Kind == ExposureKind.Scene) (fit.TurnedSlope, fit.Started) = (slope, false);
            LoadRow(frame, rows, r, motion, rows.Work.Row, result);
            var row = rows.Row(r, rows.Work.Row);
            PhaseFit.Run(row, ref fit, slopePrior, rows.Fringes, options);
            if (fit.Status != RowStatus.Ok) continue;
            if (shifts) rows.Work.Shifts[r] = ImageShiftFit.Pass(row, fit.Parameters, rows.Work.Notch);
            var guess = fit.TurnedSlope + fit.Parameters.Beta;
            slope = fit.Factor.LastVariance * row.Reach * row.Reach < GuessedRad * GuessedRad ? guess : 0;
        }
    }
}
