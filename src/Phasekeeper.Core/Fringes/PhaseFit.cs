namespace Phasekeeper.Core.Fringes;

/// <summary>Limits of the fringe fit; the defaults are what the product uses.</summary>
public sealed record PhaseFitOptions
{
    /// <summary>A sample that leaves the model by more σ than this is a spike (domain.md section 3 step 3).</summary>
    public double SpikeSigma { get; init; } = 5;
    /// <summary>A masked sample comes back below this many σ (chosen: hysteresis, so that the mask settles).</summary>
    public double SpikeReturnSigma { get; init; } = 4.5;
    /// <summary>Samples whose model comes this close to saturation, in σ, are left out (chosen; see <see cref="FitKernel.UpdateMask"/>).</summary>
    public double SaturationGuardSigma { get; init; } = 4;
    /// <summary>A row is fitted when at least this many samples are left (chosen: three times the number of parameters).</summary>
    public int MinimumSamples { get; init; } = 12;
    /// <summary>
    /// A fringe is accepted when its amplitude squared over its variance reaches this. 9.21: noise alone passes in 1 % of rows
    /// (χ² with two degrees of freedom).
    /// </summary>
    public double DetectionChiSquare { get; init; } = 9.21;
}

/// <summary>What the fit of one row found. Lengths of σ are 1σ.</summary>
internal struct RowFit
{
    public RowStatus Status;
    /// <summary>The parameters are a start: an unweighted fit of the row or a fit before.</summary>
    public bool Started;
    public FitParameters Parameters;
    /// <summary>Samples that may be used.</summary>
    public int Usable;
    /// <summary>Slope turned into the pattern since the start of the fit, rad a sample.</summary>
    public double TurnedSlope;
    public FitSums Sums;
    public Cholesky4 Factor;
    public int Used;
    public int Passes;
    /// <summary>Samples were masked by the fit, or may have to be.</summary>
    public bool Masking;
    /// <summary>Of the samples that the fit masked: far from its model, and not only next to saturation.</summary>
    public int Spikes;
}

/// <summary>
/// Weighted maximum-likelihood fit of one row: μ_i = q_i·f_i·A·[1 + V·m_i·cos(θ_i + φ + β·u_i)] with variance μ + dark + read² + rounding
/// taken from the model and iterated. For Poisson counts alone this is maximum likelihood exactly; for Poisson plus Gaussian noise it uses
/// all information of mean and variance as J·V⁻¹·J counts it, which FringeAccuracyTests measures against the bound.
/// </summary>
/// <remarks>
/// <para>β, the slope of the phase along the row, is fitted with a Gaussian prior around zero. It is there because the unknown wind has
/// its own κ_i: at 100 m/s the ends of a row differ from its middle by 0.02 rad, and where the weights are not symmetric about
/// D0 (envelope, notches, masks) a fit without it is off by up to 0.5σ for a bright row. Its cost in variance is too small to see in FringeAccuracyTests (below 1 %).</para>
/// <para>Spikes: when a sample leaves the fit by more than 5σ, the fit is repeated with every sample's pull limited to 3σ (Huber),
/// then samples beyond 5σ are masked and the plain fit repeated until mask and parameters settle.</para>
/// </remarks>
internal static class PhaseFit
{
    private const int MaximumPasses = 40;
    private const int MostHuberPasses = 6;
    private const double HuberSigma = 3;
    // A fit has settled when what the step just taken leaves is below 0.03 σ. The model is linear but for β (see Turn), so that is the step (in σ) times the
    // relative change of the weights that came with it; squares of both.
    private const double SettledRest2 = 9e-4;
    // Steps beyond 4 σ are checked by another pass all the same.
    private const double LargestLastStep2 = 16;
    // A squared step below which the weights need no look: 0.2 σ, of which some percent are left.
    private const double SmallStep2 = 0.04;
    // A slope whose phase at the row's end exceeds this, and matters against the noise, is turned into the pattern; below it, the linear term is enough.
    private const double TurnAboveRad = 0.02;
    // The linear term shortens the fringe by x²/6 at x rad at the ends: 5 % of the phase's σ is where that begins to matter. (x²/6)² = 0.05²·σ², σ² = 2/(amplitude²·information).
    private const double TurnAboveSigma2 = 0.0025 * 36 * 2;

    /// <summary>
    /// Fits a row that has just been loaded (Use = Allowed), from <paramref name="fit"/> where that is a fit of the same row or the unweighted start, else from nothing; its slope is in
    /// the pattern already. <paramref name="slopePriorSigma"/> in rad a sample; without <paramref name="fringes"/> only A is fitted.
    /// </summary>
    public static void Run(in RowData row, ref RowFit fit, double slopePriorSigma, bool fringes, PhaseFitOptions options)
    {
        bool warm = fit.Status == RowStatus.Ok, started = fit.Started, masking = warm && fit.Masking;
        if (!started) fit.Parameters = default;
        // From nothing, pass 0 finds the fringe with equal weights and pass 1 its slope; only then do residuals mean anything. An unweighted start has no slope yet.
        var checkFrom = warm ? 0 : started ? 1 : 2;
        int huberLeft = 0, maskRounds = 0;
        double prior = 1 / (slopePriorSigma * slopePriorSigma), spike2 = options.SpikeSigma * options.SpikeSigma, reach = row.Reach;
        for (var pass = 0; pass < MaximumPasses; pass++)
        {
            fit.Passes = pass + 1;
            fit.Status = RowStatus.NotConverged;
            var changed = 0;
            if (masking && huberLeft == 0)
            {
                // After four rounds nothing comes back: a sample on the edge could otherwise come and go for ever.
                var returning = maskRounds++ < 4 ? options.SpikeReturnSigma : 0;
                changed = FitKernel.UpdateMask(row, fit.Parameters, options.SpikeSigma, returning, options.SaturationGuardSigma);
            }
            FitKernel.Pass(row, fit.Parameters, huberLeft > 0 ? HuberSigma : 0, out fit.Sums);
            if (!masking && pass >= checkFrom && (fit.Sums.MaxZ2 > spike2 || NearSaturation(row, fit.Parameters, options)))
            {
                masking = true;
                // A warm start is near the answer already and needs no robust passes.
                if (warm || fit.Sums.MaxZ2 <= spike2) continue;
                huberLeft = MostHuberPasses;
                FitKernel.Pass(row, fit.Parameters, HuberSigma, out fit.Sums);
            }
            AddPrior(ref fit.Sums, fit.TurnedSlope + fit.Parameters.Beta, prior, fringes);
            if (!fit.Factor.TryFactor(fit.Sums))
            {
                fit.Status = RowStatus.TooFewSamples;
                break;
            }
            var step2 = Step(ref fit, row.VarianceFloor, out var weightChange);
            var settled = huberLeft == 0 && changed == 0 && (step2 < SmallStep2 || (step2 < LargestLastStep2 && step2 * weightChange * weightChange < SettledRest2))
                && (masking || IsQuiet(fit, step2, row, options));
            if (huberLeft > 0) huberLeft = step2 < 0.1 ? 0 : huberLeft - 1;
            if (fringes && SlopeMatters(fit, reach) && (settled || pass >= checkFrom))
            {
                Turn(row, ref fit);
                settled = false;
            }
            if (!settled) continue;
            fit.Used = masking ? Count(row.Use) : fit.Usable;
            fit.Status = fit.Used < options.MinimumSamples ? RowStatus.TooFewSamples : RowStatus.Ok;
            break;
        }
        if (fit.Status == RowStatus.NotConverged) fit.Used = Count(row.Use);
        fit.Started = fit.Status == RowStatus.Ok;
        fit.Masking = masking;
        fit.Spikes = masking ? CountSpikes(row, fit.Parameters) : 0;
    }

    /// <summary>
    /// No sample can be a spike, or near saturation, at the parameters after the step: residuals were seen before it, and a step moves a sample by its leverage at most,
    /// in the mean 4/N of the squared step, taken as four times that.
    /// </summary>
    private static bool IsQuiet(in RowFit fit, double step2, in RowData row, PhaseFitOptions options)
    {
        var room = options.SpikeSigma - Math.Sqrt(16 * step2 / row.Use.Length);
        return room > 0 && fit.Sums.MaxZ2 <= room * room && !NearSaturation(row, fit.Parameters, options);
    }

    private static bool SlopeMatters(in RowFit fit, double reach)
    {
        var p = fit.Parameters;
        var x2 = p.Beta * reach * (p.Beta * reach);
        return x2 > TurnAboveRad * TurnAboveRad && x2 * x2 * (p.C * p.C + p.S * p.S) * (fit.Sums.N11 + fit.Sums.N22) > TurnAboveSigma2;
    }

    /// <summary>
    /// Takes the Gauss–Newton step; returns its square in units of the covariance, by which χ² falls, and the largest relative change of a weight that it can make.
    /// </summary>
    private static double Step(ref RowFit fit, double varianceFloor, out double weightChange)
    {
        ref var sums = ref fit.Sums;
        fit.Factor.Solve(sums.G0, sums.G1, sums.G2, sums.G3, out var a, out var c, out var s, out var b);
        var step2 = a * sums.G0 + c * sums.G1 + s * sums.G2 + b * sums.G3;
        weightChange = (Math.Abs(a) + Math.Abs(c) + Math.Abs(s)) / (Math.Max(fit.Parameters.A, 0) + varianceFloor);
        fit.Parameters.A += a;
        fit.Parameters.C += c;
        fit.Parameters.S += s;
        fit.Parameters.Beta += b;
        sums.ChiSquare -= step2;
        return step2;
    }

    /// <summary>Adds the prior of the slope; without fringes only A is left free.</summary>
    private static void AddPrior(ref FitSums sums, double slope, double prior, bool fringes)
    {
        if (fringes)
        {
            sums.N33 += prior;
            sums.G3 -= slope * prior;
            return;
        }
        sums.N01 = sums.N02 = sums.N03 = sums.N12 = sums.N13 = sums.N23 = 0;
        sums.N11 = sums.N22 = sums.N33 = 1;
        sums.G1 = sums.G2 = sums.G3 = 0;
    }

    /// <summary>Moves the fitted slope into the pattern, so that the linear term stays small.</summary>
    private static void Turn(in RowData row, ref RowFit fit)
    {
        var slope = fit.Parameters.Beta;
        FitKernel.Rotate(row.Cos, row.Sin, slope * row.Offset[0], slope);
        fit.TurnedSlope += slope;
        fit.Parameters.Beta = 0;
    }

    private static bool NearSaturation(in RowData row, in FitParameters p, PhaseFitOptions options)
    {
        // The brightest sample of the model is below A + AV times the largest flat and envelope: 1.5 covers both, generously.
        var top = 1.5 * (p.A + Math.Sqrt(p.C * p.C + p.S * p.S));
        return top + options.SaturationGuardSigma * Math.Sqrt(Math.Max(top, 0) + row.VarianceFloor) > row.SaturationElectrons;
    }

    private static int Count(ReadOnlySpan<float> use)
    {
        var n = 0f;
        foreach (var x in use) n += x;
        return (int)n;
    }

    private static int CountSpikes(in RowData row, in FitParameters p)
    {
        const double clear = 16; // 4σ: nearer to the model, a sample was masked for the saturation that its model comes close to
        var spikes = 0;
        for (var i = 0; i < row.Use.Length; i++)
        {
            if (row.Use[i] != 0 || row.Allowed[i] == 0) continue;
            var t = row.Offset[i] * (p.C * row.Sin[i] - p.S * row.Cos[i]);
            var mean = row.Notch[i] * (p.A * row.Flat[i] + p.C * row.Cos[i] + p.S * row.Sin[i] + p.Beta * t);
            var residual = row.Electrons[i] - mean;
            if (residual * residual > clear * (Math.Max(mean, 0) + row.VarianceFloor)) spikes++;
        }
        return spikes;
    }
}
