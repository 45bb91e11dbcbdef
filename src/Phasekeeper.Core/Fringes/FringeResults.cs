namespace Phasekeeper.Core.Fringes;

/// <summary>Turns fitted rows into a <see cref="FringeResult"/>.</summary>
internal static class FringeResults
{
    /// <summary>A result without values: every row Missing, every number NaN.</summary>
    public static FringeResult Empty(FringeFrame frame, int rows, double detectorC)
    {
        double[] Missing()
        {
            var a = new double[rows];
            Array.Fill(a, double.NaN);
            return a;
        }
        var status = new RowStatus[rows];
        Array.Fill(status, RowStatus.Missing);
        return new FringeResult
        {
            Exposure = frame.Exposure,
            Kind = frame.Kind,
            View = frame.View,
            Line = frame.Line,
            Time = frame.Time,
            IntegrationS = frame.IntegrationS,
            Status = status,
            PhaseRad = Missing(),
            PhaseSigmaRad = Missing(),
            Visibility = Missing(),
            VisibilitySigma = Missing(),
            SignalElectrons = Missing(),
            SignalSigmaElectrons = Missing(),
            ChiSquare = Missing(),
            MaskedSamples = new int[rows],
            SpikeSamples = new int[rows],
            SaturatedSamples = new int[rows],
            VelocityRemovedMs = new double[rows],
            ImageShiftSamples = double.NaN,
            ImageShiftSigmaSamples = double.NaN,
            DetectorC = detectorC,
        };
    }

    /// <summary>Fills in the rows, the image shift and, for a lamp, the fringe frequency that the rows have in common.</summary>
    public static FringeResult Fill(
        FrameRows rows, double shift, double shiftVariance, bool shiftMeasured, double slopePrior,
        double lampCycles, PhaseFitOptions options, FringeResult result)
    {
        var slope = result.Kind == ExposureKind.Lamp ? CommonSlope.Of(rows.Fits, slopePrior) : null;
        for (var r = 0; r < rows.Rows; r++)
        {
            ref var fit = ref rows.Fits[r];
            result.Status[r] = fit.Status;
            if (fit.Status is RowStatus.Missing or RowStatus.NoMotion) continue;
            result.MaskedSamples[r] = rows.Patterns.Samples - fit.Used;
            result.SpikeSamples[r] = fit.Spikes;
            if (fit.Status != RowStatus.Ok) continue;
            FillRow(ref fit, rows.Work.Couplings[r], shiftVariance, slope, slopePrior, r, rows.Fringes, options, result);
        }
        result = result with
        {
            ImageShiftSamples = shiftMeasured ? shift : double.NaN,
            ImageShiftSigmaSamples = shiftMeasured ? Math.Sqrt(shiftVariance) : double.NaN,
        };
        if (slope is null) return result;
        var ppmPerSlope = rows.Patterns.Samples / (2 * Math.PI * lampCycles) * 1e6;
        return result with
        {
            FrequencyOffsetPpm = slope.RadPerSample * ppmPerSlope,
            FrequencyOffsetSigmaPpm = Math.Sqrt(slope.Variance) * ppmPerSlope,
        };
    }

    private static void FillRow(
        ref RowFit fit, in ShiftCoupling coupling, double shiftVariance, CommonSlope? slope, double slopePrior, int r, bool fringes, PhaseFitOptions options,
        FringeResult result)
    {
        var slopeShare = fringes ? 1 - fit.Factor.LastVariance / (slopePrior * slopePrior) : 0;
        // The slope counts as a parameter as far as the data, and not its prior, determine it.
        var dof = fit.Used - (fringes ? 3 + slopeShare : 1);
        result.ChiSquare[r] = dof > 0 ? fit.Sums.ChiSquare / dof : double.NaN;
        result.SignalElectrons[r] = fit.Parameters.A;
        result.SignalSigmaElectrons[r] = Math.Sqrt(fit.Factor.Quadratic(1, 0, 0, 0) + coupling.A * coupling.A * shiftVariance);
        if (!fringes) return;
        var p = fit.Parameters;
        // A lamp row takes the slope of all rows: its parameters move along their correlation with its own slope.
        double share = 0, slopeVariance = 0;
        double xa = 0, xc = 0, xs = 0;
        if (slope is not null)
        {
            fit.Factor.Solve(0, 0, 0, 1, out xa, out xc, out xs, out var xb);
            slopeVariance = xb;
            share = (slope.RadPerSample - fit.TurnedSlope - p.Beta) / xb;
            p.A += xa * share;
            p.C += xc * share;
            p.S += xs * share;
        }
        var r2 = p.C * p.C + p.S * p.S;
        var amplitude = Math.Sqrt(r2);
        double cos = p.C / amplitude, sin = p.S / amplitude;
        // Variance across (phase) and along (amplitude) the fitted fringe.
        var across = Variance(fit, coupling, shiftVariance, slope, slopeVariance, 0, -sin, cos);
        var along = Variance(fit, coupling, shiftVariance, slope, slopeVariance, 0, cos, sin);
        if (!(r2 >= options.DetectionChiSquare * 0.5 * (across + along)))
        {
            result.Status[r] = RowStatus.NoFringe;
            result.ChiSquare[r] = result.SignalElectrons[r] = result.SignalSigmaElectrons[r] = double.NaN;
            return;
        }
        // The noise across the fringe lengthens it: E[C² + S²] = (AV)² + var. Taken off, the visibility is unbiased and the
        // phase uncertainty right to first order in 1/SNR² as well.
        var true2 = r2 - across;
        result.PhaseRad[r] = Math.Atan2(p.S, p.C);
        result.PhaseSigmaRad[r] = Math.Sqrt(across / true2);
        var contrast = Math.Sqrt(true2);
        result.Visibility[r] = contrast / p.A;
        result.VisibilitySigma[r] = Math.Sqrt(Variance(fit, coupling, shiftVariance, slope, slopeVariance, -contrast / p.A, cos, sin)) / Math.Abs(p.A);
    }

    /// <summary>Variance of a·(A, C, S), with the common slope in place of the row's own, and the image shift's part.</summary>
    private static double Variance(in RowFit fit, in ShiftCoupling coupling, double shiftVariance, CommonSlope? slope, double slopeVariance, double a, double c, double s)
    {
        var variance = fit.Factor.Quadratic(a, c, s, 0);
        if (slope is not null)
        {
            fit.Factor.Solve(0, 0, 0, 1, out var xa, out var xc, out var xs, out _);
            var covariance = a * xa + c * xc + s * xs;
            variance += covariance * covariance * (slope.Variance / slopeVariance - 1) / slopeVariance;
        }
        var pull = a * coupling.A + c * coupling.C + s * coupling.S;
        return variance + pull * pull * shiftVariance;
    }
}
