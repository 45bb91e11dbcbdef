using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>Image shift at a moment.</summary>
/// <param name="ShiftSamples">s, samples.</param>
/// <param name="SigmaSamples">1σ.</param>
/// <param name="Measured">True when fiducials of the same stretch stand behind it, false when it is the bench law alone.</param>
public readonly record struct ShiftEstimate(double ShiftSamples, double SigmaSamples, bool Measured);

/// <summary>
/// s(t) of one view over a window: one smooth function of time between detected steps (domain.md section 3 step 4). The law
/// offset + slope·(bench − reference) is the prior; every fiducial measurement is used with its weight; each stretch between steps is fitted on its own, so
/// nothing is smoothed across a step. What the fit may add to the law: an offset, a correction of the slope, and slow and quick smooth parts. Finite reach:
/// only what is given is used.
/// </summary>
public sealed class SmoothImageShift
{
    /// <summary>σ of a shift known from the bench law alone, samples (chosen: 2 K of bench temperature at 0.05 samples/K).</summary>
    public const double LawOnlySigmaSamples = 0.1;

    private const double OffsetPriorSamples = 2.0;
    private const double SlopePriorSamplesPerK = 0.05;
    private const double OutlierSigmas = 5;

    private readonly Instant _origin;
    private readonly ImageShiftLaw _law;
    private readonly TemperatureSeries _benchC;
    private readonly double _meanBenchC;
    private readonly double _benchGapS;
    private readonly SmoothFunction?[] _pieces;

    private SmoothImageShift(
        string view, Instant origin, ImageShiftLaw law, TemperatureSeries benchC, double benchGapS, double meanBenchC, IReadOnlyList<Instant> steps, SmoothFunction?[] pieces, int count)
    {
        (View, _origin, _law, _benchC, _benchGapS, _meanBenchC, Steps, _pieces, MeasurementCount) = (view, origin, law, benchC, benchGapS, meanBenchC, steps, pieces, count);
    }

    /// <summary>View id.</summary>
    public string View { get; }

    /// <summary>Moments of the detected steps, ascending (the first measurement after each).</summary>
    public IReadOnlyList<Instant> Steps { get; }

    /// <summary>Number of fiducial measurements used.</summary>
    public int MeasurementCount { get; }

    /// <summary>Fits one view.</summary>
    /// <param name="law">The view's bench law.</param>
    /// <param name="benchC">Bench temperature over the window; empty when there is none: then only the law's offset is the prior.</param>
    /// <param name="measurements">Fiducial measurements of the view in the window, in time order.</param>
    /// <param name="from">Start of the window.</param>
    /// <param name="to">End of the window.</param>
    /// <param name="orbitS">Length of an orbit, s: sets how quickly s may change.</param>
    public static SmoothImageShift Fit(
        ImageShiftLaw law, TemperatureSeries benchC, IReadOnlyList<ImageShiftMeasurement> measurements, Instant from, Instant to, double orbitS)
    {
        var gapS = Math.Max(600, orbitS / 6);
        var data = Merge([.. measurements.Where(m => m.Time >= from && m.Time <= to && double.IsFinite(m.ShiftSamples) && m.SigmaSamples > 0)], from);
        var window = benchC.Between(from.AddSeconds(-gapS), to.AddSeconds(gapS));
        var meanC = window.Count > 0 ? Moments.Mean([.. window.ValuesC]) : law.ReferenceC;
        var residual = data.Select(d => d.Value - LawAt(law, window, gapS, meanC, from.AddSeconds(d.T), out _)).ToArray();
        var t = data.Select(d => d.T).ToArray();
        var sigma = data.Select(d => d.Sigma).ToArray();
        var cuts = StepFinder.Find(t, residual, sigma, orbitS / 4);

        var pieces = new SmoothFunction?[cuts.Count + 1];
        for (var piece = 0; piece <= cuts.Count; piece++)
        {
            var first = piece == 0 ? 0 : cuts[piece - 1];
            var end = piece == cuts.Count ? t.Length : cuts[piece];
            if (end > first)
                pieces[piece] = FitPiece(t[first..end], residual[first..end], sigma[first..end],
                    [.. data[first..end].Select(d => BenchAt(window, gapS, meanC, from.AddSeconds(d.T)))], to - from, orbitS);
        }
        return new(law.View, from, law, window, gapS, meanC, [.. cuts.Select(c => from.AddSeconds(t[c]))], pieces, measurements.Count);
    }

    /// <summary>s at a moment.</summary>
    public ShiftEstimate At(Instant time)
    {
        var law = LawAt(_law, _benchC, _benchGapS, _meanBenchC, time, out var known);
        if (_pieces[PieceOf(time)] is not { } piece)
            return new(law, _law.SamplesPerK == 0 && _law.OffsetSamples == 0 ? 0 : LawOnlySigmaSamples * (known ? 1 : 2), false);
        var (value, sigma) = piece.At(time - _origin, Regressors(BenchAt(_benchC, _benchGapS, _meanBenchC, time)));
        return new(law + value, sigma, true);
    }

    /// <summary>Covariance of s at two moments, samples²; 0 across a step.</summary>
    public double Covariance(Instant a, Instant b)
    {
        var (pieceA, pieceB) = (PieceOf(a), PieceOf(b));
        if (pieceA != pieceB) return 0;
        if (_pieces[pieceA] is not { } piece)
            return At(a).SigmaSamples * At(b).SigmaSamples; // the law's error is common
        return piece.Covariance(a - _origin, Regressors(BenchAt(_benchC, _benchGapS, _meanBenchC, a)), b - _origin, Regressors(BenchAt(_benchC, _benchGapS, _meanBenchC, b)));
    }

    private int PieceOf(Instant time)
    {
        var piece = 0;
        while (piece < Steps.Count && time >= Steps[piece]) piece++;
        return piece;
    }

    private static double[] Regressors(double benchFromMeanK) => [1, benchFromMeanK];

    private static double BenchAt(TemperatureSeries benchC, double gapS, double meanC, Instant time) =>
        benchC.TryInterpolate(time, gapS, out var c) ? c - meanC : 0;

    private static double LawAt(ImageShiftLaw law, TemperatureSeries benchC, double gapS, double meanC, Instant time, out bool known)
    {
        known = benchC.TryInterpolate(time, gapS, out var c);
        return law.ShiftAt(known ? c : meanC);
    }

    // Measurements of the same moment (the lines of one exposure) become one, weighted.
    private static (double T, double Value, double Sigma)[] Merge(ImageShiftMeasurement[] measurements, Instant origin)
    {
        var merged = new List<(double, double, double)>();
        foreach (var group in measurements.GroupBy(m => m.Time).OrderBy(g => g.Key.TaiNanoseconds))
        {
            var (mean, sigma) = Moments.WeightedMean([.. group.Select(m => m.ShiftSamples)], [.. group.Select(m => m.SigmaSamples)]);
            merged.Add((group.Key - origin, mean, sigma));
        }
        return [.. merged];
    }

    private static SmoothFunction? FitPiece(double[] t, double[] y, double[] sigma, double[] bench, double windowS, double orbitS)
    {
        SmoothLayer[] layers =
        [
            new(orbitS, [0.0003, 0.002, 0.01, 0.05]),
            new(orbitS / 9, [0.0001, 0.001, 0.005, 0.03]),
        ];
        var regressors = bench.Select(Regressors).ToArray();
        double[] prior = [OffsetPriorSamples, SlopePriorSamplesPerK];
        var used = (double[])sigma.Clone();
        for (var round = 0; ; round++)
        {
            var fit = SmoothFunction.TryFit(0, windowS, t, y, PointNoise.Independent((double[])used.Clone()), regressors, prior, layers);
            if (fit is null || round == 2) return fit;
            // A fiducial hit by a particle: its weight falls with its distance beyond the limit.
            var changed = false;
            for (var i = 0; i < t.Length; i++)
            {
                var off = Math.Abs(y[i] - fit.At(t[i], regressors[i]).Value);
                var next = off > OutlierSigmas * sigma[i] ? sigma[i] * Math.Pow(off / (OutlierSigmas * sigma[i]), 2) * OutlierSigmas : sigma[i];
                changed |= next != used[i];
                used[i] = next;
            }
            if (!changed) return fit;
        }
    }
}
