using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Trackers;

/// <summary>When a series' change of mean happened.</summary>
/// <param name="FirstOrbitAfter">First orbit after the change.</param>
/// <param name="Time">Time of that orbit's value.</param>
/// <param name="EarliestOrbit">The change lies at or after this orbit with 95 % probability…</param>
/// <param name="LatestOrbit">…and at or before this one.</param>
/// <param name="Step">Mean after minus mean before, tracker's unit.</param>
/// <param name="P">Probability of so large a change by chance (Pettitt, with the effective number of values).</param>
public readonly record struct SeriesChange(int FirstOrbitAfter, Instant Time, int EarliestOrbit, int LatestOrbit, double Step, double P);

/// <summary>When a trend will cross a limit.</summary>
/// <param name="Limit">The limit, tracker's unit.</param>
/// <param name="Time">Best estimate.</param>
/// <param name="Earliest">Lower end of the 95 % interval.</param>
/// <param name="Latest">Upper end; <see cref="Instant.MaxValue"/> when the trend may also not reach the limit at all.</param>
public readonly record struct LimitCrossing(double Limit, Instant Time, Instant Earliest, Instant Latest);

/// <summary>
/// What a series has done and where it goes: trend a month (30 days) by Theil–Sen with a 95 % interval, change point, and forecast of limit crossings. The
/// interval of the trend is widened for autocorrelation by √((1+r)/(1−r)) of the detrended values. A forecast assumes that the trend goes on; it advises and decides nothing.
/// </summary>
/// <param name="TrendPerMonth">Slope, tracker's unit per 30 days.</param>
/// <param name="TrendSigmaPerMonth">1σ: the 95 % interval's half-width / 1.96.</param>
/// <param name="TrendLow">Lower end of the slope's 95 % interval.</param>
/// <param name="TrendHigh">Upper end.</param>
/// <param name="Level">Trend line's value at the last orbit, tracker's unit.</param>
/// <param name="LevelSigma">1σ of that level.</param>
/// <param name="LastTime">Time of the last value.</param>
/// <param name="Autocorrelation">Lag-1 autocorrelation of the detrended values.</param>
/// <param name="MeanAgeMonths">Mean age of the values against the last one, months of 30 days: ties the level's error to the slope's.</param>
/// <param name="Change">The most likely single change of mean when its p is below 1 %, else null; a steady trend also shows as a change, so it is sought after the trend is taken out and only where that explains more than the trend does.</param>
public sealed record DriftSummary(
    double TrendPerMonth, double TrendSigmaPerMonth, double TrendLow, double TrendHigh, double Level, double LevelSigma, Instant LastTime,
    double Autocorrelation, double MeanAgeMonths, SeriesChange? Change)
{
    private const double MonthS = 30 * 86400.0;

    /// <summary>True when the slope's 95 % interval does not hold zero.</summary>
    public bool IsSignificant => TrendLow > 0 || TrendHigh < 0;

    private const int MostPoints = 500; // n² slopes: of longer series, equal groups' medians

    /// <summary>Summary of a series; null below five values at different times.</summary>
    /// <param name="values">Values in orbit order (unwrapped, see <see cref="SeriesStatistics.Unwrap"/>).</param>
    public static DriftSummary? Of(IReadOnlyList<TrackerValue> values)
    {
        if (values.Count < 5) return null;
        var last = values[^1].Time;
        double[] t = [.. values.Select(v => (v.Time - last) / MonthS)];
        double[] y = [.. values.Select(v => v.Value)];
        var (thinT, thinY) = Thin(t, y);
        double r = 0;
        if (TheilSen.TryFit(thinT, thinY, 0.95, slope =>
        {
            r = Moments.Lag1Autocorrelation([.. y.Select((v, i) => v - slope * t[i])]);
            r = double.IsNaN(r) ? 0 : Math.Clamp(r, 0, 0.95);
            // Groups of m values keep less autocorrelation; r^m is what is left between neighbours.
            var groupR = Math.Pow(r, Math.Max(1, Math.Round((double)t.Length / thinT.Length)));
            return Math.Sqrt((1 + groupR) / (1 - groupR));
        }) is not { } fit) return null;

        var slopeSigma = (fit.SlopeHigh - fit.SlopeLow) / (2 * 1.959963984540054);
        var inflation = ChartDesign.RunFactor(r);
        double[] flat = [.. y.Select((v, i) => v - fit.Slope * t[i])];
        var level = RobustStatistics.Median(flat);
        var meanT = Moments.Mean(t);
        var middleSigma = RobustStatistics.MedianSigma(flat) * inflation;
        var levelSigma = Math.Sqrt(middleSigma * middleSigma + slopeSigma * slopeSigma * meanT * meanT);
        return new(fit.Slope, slopeSigma, fit.SlopeLow, fit.SlopeHigh, level, levelSigma, last, r, -meanT, FindChange(values, y, t));
    }

    /// <summary>
    /// When the trend line crosses a limit after the last value, with its 95 % interval from the level's and slope's uncertainty (Fieller's theorem; slope
    /// and level at the mean time are independent); null when the best estimate moves away from the limit.
    /// </summary>
    public LimitCrossing? Forecast(double limit)
    {
        var distance = limit - Level;
        if (TrendPerMonth == 0 || distance / TrendPerMonth < 0) return null;
        var months = distance / TrendPerMonth;
        // Fieller: all τ with (distance − slope·τ)² ≤ z²·(σ_level² + 2τ·cov + τ²·σ_slope²), cov(level, slope) = age·σ_slope².
        const double Z2 = 1.959963984540054 * 1.959963984540054;
        var slopeVariance = TrendSigmaPerMonth * TrendSigmaPerMonth;
        var a = TrendPerMonth * TrendPerMonth - Z2 * slopeVariance;
        var b = distance * TrendPerMonth + Z2 * MeanAgeMonths * slopeVariance;
        var c = distance * distance - Z2 * LevelSigma * LevelSigma;
        var root = b * b - a * c;
        Instant Later(double m) => m > 2400 ? Instant.MaxValue : LastTime.AddSeconds(Math.Max(0, m) * MonthS);
        if (a <= 0 || root < 0)
        {
            // The slope is not significant: it may be crossed early or never.
            var fastest = Math.Abs(TrendPerMonth) + 1.959963984540054 * TrendSigmaPerMonth;
            return new(limit, Later(months), Later(Math.Max(0, Math.Abs(distance) - 1.959963984540054 * LevelSigma) / fastest), Instant.MaxValue);
        }
        return new(limit, Later(months), Later((b - Math.Sqrt(root)) / a), Later((b + Math.Sqrt(root)) / a));
    }

    private static SeriesChange? FindChange(IReadOnlyList<TrackerValue> values, double[] y, double[] t)
    {
        // The step itself looks like autocorrelation: r is taken from what is left about the two means.
        if (ChangePoint.TryFind(y, 0.95, 3) is not { } first) return null;
        var r = Moments.Lag1Autocorrelation([.. y.Select((v, i) => v - (i < first.FirstLength ? first.MeanBefore : first.MeanAfter))]);
        r = double.IsNaN(r) ? 0 : Math.Clamp(r, 0, 0.95);
        if (ChangePoint.TryFind(y, 0.95, 3, (1 - r) / (1 + r)) is not { } change || change.PettittP > 0.01) return null;
        // Trend or step? The one that leaves less is believed.
        var line = LinearLeastSquares.TryFit([.. t.Select(v => new[] { 1, v })], y);
        if (line is null || line.ResidualSumOfSquares <= change.ResidualOneChange) return null;
        return new(values[change.FirstLength].Orbit, values[change.FirstLength].Time, values[change.Low].Orbit, values[change.High].Orbit,
            change.MeanAfter - change.MeanBefore, change.PettittP);
    }

    private static (double[] T, double[] Y) Thin(double[] t, double[] y)
    {
        var size = (t.Length + MostPoints - 1) / MostPoints;
        if (size <= 1) return (t, y);
        var groups = t.Length / size;
        double[] thinT = new double[groups], thinY = new double[groups];
        for (var g = 0; g < groups; g++)
        {
            thinT[g] = Moments.Mean(t[(g * size)..((g + 1) * size)]);
            thinY[g] = RobustStatistics.Median(y[(g * size)..((g + 1) * size)]);
        }
        return (thinT, thinY);
    }
}
