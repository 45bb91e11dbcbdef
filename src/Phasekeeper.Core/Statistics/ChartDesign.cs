namespace Phasekeeper.Core.Statistics;

/// <summary>
/// Limits of the charts of many series, designed together. With C charts of V values a month and F false signals a month allowed over all of them,
/// each chart must run C·V/F values on average without one; it does so by two tests (EWMA and two-sided CUSUM), which are given half of the allowance each.
/// <para>
/// Autocorrelation: for AR(1) values with coefficient r, a sum over many values has (1+r)/(1−r) times the variance of independent ones. The CUSUM is
/// therefore run in units of σ_run = σ·√((1+r)/(1−r)), and the EWMA's limit takes the AR(1) variance λ/(2−λ)·(1+r(1−λ))/(1−r(1−λ)). Both keep the designed run
/// length or exceed it (test False_signals_stay_within_the_design_with_autocorrelation).
/// </para>
/// </summary>
/// <param name="Lambda">λ of the EWMA.</param>
/// <param name="EwmaLimit">L: limit of the EWMA in its own standard deviations.</param>
/// <param name="CusumK">Allowance, in σ_run.</param>
/// <param name="CusumH">Limit, in σ_run.</param>
/// <param name="SingleLimit">Limit of one value in σ for a state of critical (see <see cref="SeriesStatistics"/>).</param>
/// <param name="ExpectedFalsePerMonth">False signals a month over all charts that the limits imply.</param>
public sealed record ChartDesign(
    double Lambda, double EwmaLimit, double CusumK, double CusumH, double SingleLimit, double ExpectedFalsePerMonth)
{
    /// <summary>The default family: 60 charts of 450 orbits a month (domain.md section 4), one false signal a month over all.</summary>
    public static ChartDesign Default { get; } = Design(charts: 60, valuesPerMonth: 450, falsePerMonth: 1);

    /// <summary>Designs the limits.</summary>
    /// <param name="charts">Number of charts in the family.</param>
    /// <param name="valuesPerMonth">Values a month on each.</param>
    /// <param name="falsePerMonth">False signals a month allowed over all charts.</param>
    /// <param name="lambda">λ of the EWMA; 0.2 suits shifts near 1σ (Lucas and Saccucci 1990, Technometrics 32, 1, doi 10.1080/00401706.1990.10484583).</param>
    /// <param name="cusumK">Allowance; 1 is tuned to a shift of 2σ and forgives a centre that was itself estimated from few orbits.</param>
    public static ChartDesign Design(int charts, int valuesPerMonth, double falsePerMonth, double lambda = 0.2, double cusumK = 1.0)
    {
        var runLength = 2.0 * charts * valuesPerMonth / falsePerMonth;
        // Rounded up to hundredths: numbers that people can read, and set in rules.
        var l = Math.Ceiling(100 * Bisect(x => RunLength.Ewma(lambda, x), runLength, 1, 7)) / 100;
        var h = Math.Ceiling(100 * Bisect(x => RunLength.Cusum(x, cusumK), runLength, 0.5, 14)) / 100;
        var implied = charts * valuesPerMonth * (1 / RunLength.Ewma(lambda, l) + 1 / RunLength.Cusum(h, cusumK));
        return new(lambda, l, cusumK, h, 2 * l, implied);
    }

    /// <summary>σ_run/σ for lag-1 autocorrelation r: √((1+r)/(1−r)), never below 1 (a negative r is not trusted to narrow limits).</summary>
    public static double RunFactor(double r) => Math.Sqrt((1 + Clip(r)) / (1 - Clip(r)));

    /// <summary>Steady standard deviation of the EWMA of AR(1) values with σ = 1.</summary>
    public double EwmaSigma(double r)
    {
        var g = Clip(r) * (1 - Lambda);
        return Math.Sqrt(Lambda / (2 - Lambda) * (1 + g) / (1 - g));
    }

    // Above 0.95 a month of orbits holds too few independent values to chart at all; the limits then stop widening.
    private static double Clip(double r) => double.IsNaN(r) ? 0 : Math.Clamp(r, 0, 0.95);

    private static double Bisect(Func<double, double> arl, double target, double low, double high)
    {
        for (var i = 0; i < 40 && high - low > 1e-6; i++)
        {
            var middle = 0.5 * (low + high);
            if (arl(middle) < target) low = middle;
            else high = middle;
        }
        return high;
    }
}
