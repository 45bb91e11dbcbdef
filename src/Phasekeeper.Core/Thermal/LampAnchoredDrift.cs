using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>What a drift estimate stands on.</summary>
public enum DriftSource
{
    /// <summary>Thermal model plus c(t) from lamp exposures within reach.</summary>
    Lamp,
    /// <summary>Thermal model alone: no lamp exposure within reach. A quality reason, with a larger uncertainty.</summary>
    ModelOnly,
}

/// <summary>Optical drift at a moment.</summary>
/// <param name="DriftRad">φ_opt, rad.</param>
/// <param name="SigmaRad">1σ, rad.</param>
/// <param name="ModelRad">The model's part k·(T_lag − T_ref), rad.</param>
/// <param name="OffsetRad">c(t), rad, with the fitted start of T_lag near a gap.</param>
/// <param name="Source">What it stands on.</param>
/// <param name="NearGap">True within 5τ after a gap of the interferometer's temperature: a quality reason.</param>
/// <param name="ShiftCovarianceRadSamples">Covariance of this drift's error with the image shift's error at the same moment, rad·samples: the part that cancels against φ_img.</param>
public readonly record struct DriftEstimate(
    double DriftRad, double SigmaRad, double ModelRad, double OffsetRad, DriftSource Source, bool NearGap, double ShiftCovarianceRadSamples)
{
    /// <summary>1σ of φ_opt + φ_img with their correlation, rad, for φ_img = −radPerSample·s.</summary>
    public double CorrectionSigmaRad(double radPerSample, double shiftSigmaSamples) => Math.Sqrt(Math.Max(0,
        SigmaRad * SigmaRad + radPerSample * radPerSample * shiftSigmaSamples * shiftSigmaSamples - 2 * radPerSample * ShiftCovarianceRadSamples));
}

/// <summary>
/// φ_opt(t) = k·(T_lag − T_ref) + c(t) of one view and line over a window (domain.md section 3 step 6): the thermal model carries the drift between lamp
/// exposures, and c(t), made from all lamp exposures of the window, holds it to what the lamp measured. c(t) has a constant; what small errors of the approved k and τ do, which
/// goes up and down with the temperature and so is known between lamp exposures too; a slow part (knots an orbit apart) and a quick part (a sixth of an orbit). Their sizes follow
/// from the data (<see cref="SmoothFunction"/>). After each gap of the temperature, the start of T_lag is one more unknown. The image shift's error is common to neighbouring exposures and enters as a full covariance.
/// Finite reach: only the window's exposures count.
/// </summary>
public sealed class LampAnchoredDrift
{
    /// <summary>σ of a drift known from the model alone, rad (chosen: an offset anywhere within about ±1 rad; 0.6 rad are some 300 m/s at 5 cm and 558 nm, so such winds are never good).</summary>
    public const double ModelOnlySigmaRad = 0.6;

    /// <summary>σ of T_lag's start after a gap, K, before any lamp has measured it (chosen: half the swing of an orbit).</summary>
    public const double StartSigmaK = 3;

    /// <summary>Prior 1σ of the approved k's relative error (chosen: three times what a laboratory reaches; a real change shows in the slope tracker).</summary>
    public const double SlopePrior = 0.01;

    /// <summary>Prior 1σ of the approved τ's relative error (chosen: likewise).</summary>
    public const double LagPrior = 0.03;

    private const double ConstantPriorRad = 10; // flat in effect: one lamp exposure replaces it

    private readonly ThermalModel _model;
    private readonly SmoothImageShift _shift;
    private readonly SmoothFunction? _offset;
    private readonly Instant _from;

    private LampAnchoredDrift(ThermalModel model, SmoothImageShift shift, SmoothFunction? offset, Instant from, IReadOnlyList<LampDriftPoint> points)
    {
        (_model, _shift, _offset, _from, Points) = (model, shift, offset, from, points);
    }

    /// <summary>The lamp exposures behind it, in time order.</summary>
    public IReadOnlyList<LampDriftPoint> Points { get; }

    /// <summary>The thermal model.</summary>
    public ThermalModel Model => _model;

    /// <summary>Fits c(t).</summary>
    /// <param name="model">Thermal model.</param>
    /// <param name="shift">s(t) of the view.</param>
    /// <param name="points">Lamp drift of the window (<see cref="OpticalDrift.Measure"/>).</param>
    /// <param name="from">Start of the window.</param>
    /// <param name="to">End of the window.</param>
    /// <param name="orbitS">Length of an orbit, s.</param>
    public static LampAnchoredDrift Fit(ThermalModel model, SmoothImageShift shift, IReadOnlyList<LampDriftPoint> points, Instant from, Instant to, double orbitS)
    {
        LampDriftPoint[] used = [.. points.Where(p => p.Time >= from && p.Time <= to)];
        SmoothFunction? offset = null;
        if (used.Length > 0 && PointNoise.TryCorrelated(ErrorCovariance(used, shift)) is { } noise)
        {
            SmoothLayer[] layers =
            [
                new(orbitS, [0.001, 0.01, 0.1, 1]),
                new(orbitS / 6, [0.0002, 0.002, 0.02, 0.15]),
            ];
            var runs = model.Lagged.Runs;
            var k = Math.Abs(model.Law.RadPerK);
            double[] prior = [ConstantPriorRad, SlopePrior * k, LagPrior * model.Law.LagS * k, .. Enumerable.Repeat(StartSigmaK * k, runs)];
            offset = SmoothFunction.TryFit(0, to - from, [.. used.Select(p => p.Time - from)], [.. used.Select(p => p.OffsetRad)], noise,
                [.. used.Select(p => Regressors(model, p.LaggedC))], prior, layers);
        }
        return new(model, shift, offset, from, used);
    }

    /// <summary>Covariance of the measured drifts: independent photon noise, and the image shift's error that neighbours share.</summary>
    public static double[][] ErrorCovariance(IReadOnlyList<LampDriftPoint> points, SmoothImageShift shift)
    {
        var covariance = new double[points.Count][];
        for (var i = 0; i < points.Count; i++)
        {
            covariance[i] = new double[points.Count];
            for (var j = 0; j < i; j++)
                covariance[i][j] = covariance[j][i] = points[i].ShiftSensitivityRad * points[j].ShiftSensitivityRad * shift.Covariance(points[i].Time, points[j].Time);
            covariance[i][i] = points[i].SigmaRad * points[i].SigmaRad;
        }
        return covariance;
    }

    /// <summary>Drift at a moment; false where the temperature is not known (outside its samples or in a gap).</summary>
    public bool TryGet(Instant time, out DriftEstimate estimate)
    {
        estimate = default;
        if (!_model.TryGet(time, out var modelRad, out var lagged)) return false;
        if (_offset is null)
        {
            var start = StartSigmaK * _model.Law.RadPerK * lagged.StartWeight;
            estimate = new(modelRad, Math.Sqrt(ModelOnlySigmaRad * ModelOnlySigmaRad + start * start), modelRad, 0, DriftSource.ModelOnly, lagged.NearGap, 0);
            return true;
        }
        var regressors = Regressors(_model, lagged);
        var (offset, sigma) = _offset.At(time - _from, regressors);
        var weights = _offset.Weights(time - _from, regressors);
        double shiftCovariance = 0;
        for (var i = 0; i < weights.Length; i++)
            shiftCovariance += weights[i] * Points[i].ShiftSensitivityRad * _shift.Covariance(Points[i].Time, time);
        estimate = new(modelRad + offset, sigma, modelRad, offset, DriftSource.Lamp, lagged.NearGap, shiftCovariance);
        return true;
    }

    // Constant, δk, k·δτ, then the start of each run.
    private static double[] Regressors(ThermalModel model, LaggedValue lagged)
    {
        var values = new double[3 + model.Lagged.Runs];
        (values[0], values[1], values[2]) = (1, lagged.LaggedC - model.Law.ReferenceC, lagged.PerLagKPerS);
        values[3 + lagged.Run] = lagged.StartWeight;
        return values;
    }
}
