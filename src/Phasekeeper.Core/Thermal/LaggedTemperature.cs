using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>T_lag at a moment.</summary>
/// <param name="LaggedC">T_lag, °C, for a start value equal to the first sample after the gap.</param>
/// <param name="Run">Number of the unbroken run of samples, counted from 0.</param>
/// <param name="StartWeight">∂T_lag/∂(start value of the run) = e^(−(t − t_start)/τ): how much of an error of the assumed start is left.</param>
/// <param name="PerLagKPerS">∂T_lag/∂τ, K/s: what an error of the lag does.</param>
public readonly record struct LaggedValue(double LaggedC, int Run, double StartWeight, double PerLagKPerS)
{
    /// <summary>True within 5τ of the start of the run (e⁻⁵ = 0.0067): the unknown start still matters to a wind.</summary>
    public bool NearGap => StartWeight > LaggedTemperature.NearGapWeight;
}

/// <summary>
/// The interferometer's temperature through a first-order lag τ: τ·dT_lag/dt = T − T_lag (domain.md section 3 step 6). Between samples T is
/// linear, for which the update is exact on any spacing:
/// <c>y1 = x1 − gτ + (y0 − x0 + gτ)·e^(−Δt/τ)</c>, g = (x1 − x0)/Δt.
/// A spacing longer than <see cref="GapS"/> is a gap: nothing is known within it, and a new run starts after it. Each run, the first too,
/// starts at y = x (steady state), and <see cref="LaggedValue.StartWeight"/> carries what an error of that start still does: after the
/// look-back of 20τ it is 2·10⁻⁹ of the error, within 5τ a user treats the start as an unknown to be fitted or adds its uncertainty.
/// <para>
/// τ = 0 is no lag, the limit of τ → 0: T_lag = T, there is no start to know, and ∂T_lag/∂τ = −dT/dt.
/// </para>
/// <para>
/// ∂T_lag/∂τ follows from the equation's own derivative, τ·dD/dt = −D − dT_lag/dt: D = (T_lag again through the lag − T_lag)/τ, with T_lag linear between samples.
/// </para>
/// </summary>
public sealed class LaggedTemperature
{
    /// <summary>Look-back that makes the start irrelevant, in units of τ: e⁻²⁰ = 2·10⁻⁹ (domain.md section 3 step 6).</summary>
    public const double LookBackLags = 20;

    /// <summary>e⁻⁵: weight of the start above which a moment counts as near a gap (domain.md: within 5τ).</summary>
    public const double NearGapWeight = 0.006737946999085467;

    /// <summary>Shortest spacing that can count as a gap, s (chosen: twice the slowest usual housekeeping period of a minute).</summary>
    public const double ShortestGapS = 120;

    private readonly TemperatureSeries _samples;
    private readonly double[] _lagged;
    private readonly double[] _perLag;
    private readonly int[] _run;
    private readonly List<int> _runStarts = [];

    /// <summary>Runs the filter over all samples.</summary>
    /// <param name="samples">Interferometer temperature, from <see cref="LookBackLags"/>·τ before the first moment that is asked for.</param>
    /// <param name="lagS">τ, s; 0 = no lag.</param>
    /// <param name="gapS">Longest spacing that is still interpolated, s; 0 = <see cref="DefaultGapS"/>.</param>
    public LaggedTemperature(TemperatureSeries samples, double lagS, double gapS = 0)
    {
        if (!(lagS >= 0) || !double.IsFinite(lagS))
            throw new ArgumentOutOfRangeException(nameof(lagS), lagS, $"The thermal lag is {lagS} s; expected 0 (no lag) or a positive number of seconds.");
        _samples = samples;
        LagS = lagS;
        GapS = gapS > 0 ? gapS : DefaultGapS(lagS, samples);
        _lagged = new double[samples.Count];
        _perLag = new double[samples.Count];
        _run = new int[samples.Count];
        double twice = 0;
        var times = samples.Times;
        var x = samples.ValuesC;
        for (var i = 0; i < samples.Count; i++)
        {
            var dt = i == 0 ? double.PositiveInfinity : times[i] - times[i - 1];
            if (dt > GapS)
            {
                _runStarts.Add(i);
                _lagged[i] = twice = x[i];
            }
            else
            {
                _lagged[i] = Step(_lagged[i - 1], x[i - 1], x[i], dt, lagS);
                twice = Step(twice, _lagged[i - 1], _lagged[i], dt, lagS);
            }
            _perLag[i] = lagS > 0 ? (twice - _lagged[i]) / lagS : dt > GapS ? 0 : -(x[i] - x[i - 1]) / dt;
            _run[i] = _runStarts.Count - 1;
        }
    }

    /// <summary>τ, s.</summary>
    public double LagS { get; }

    /// <summary>Longest spacing of samples that is interpolated, s.</summary>
    public double GapS { get; }

    /// <summary>Number of unbroken runs.</summary>
    public int Runs => _runStarts.Count;

    /// <summary>
    /// The default gap: the longest of τ, <see cref="ShortestGapS"/> and three median spacings of the samples (slow housekeeping is not all gaps). Over τ a
    /// straight line still follows an orbit's temperature to about 1 % of its swing.
    /// </summary>
    public static double DefaultGapS(double lagS, TemperatureSeries samples)
    {
        var gapS = Math.Max(lagS, ShortestGapS);
        if (samples.Count < 3) return gapS;
        var times = samples.Times;
        var spacing = new double[samples.Count - 1];
        for (var i = 1; i < samples.Count; i++) spacing[i - 1] = times[i] - times[i - 1];
        return Math.Max(gapS, 3 * RobustStatistics.Median(spacing));
    }

    /// <summary>One exact update from (x0, y0) over dt seconds to x1; symbols as in the class summary; without lag, x1.</summary>
    public static double Step(double y0, double x0, double x1, double dt, double lagS)
    {
        if (lagS == 0) return x1;
        var gLag = (x1 - x0) / dt * lagS;
        return x1 - gLag + (y0 - x0 + gLag) * Math.Exp(-dt / lagS);
    }

    /// <summary>T_lag at a moment; false before the first sample, after the last, and inside a gap: never extrapolated.</summary>
    public bool TryGet(Instant time, out LaggedValue value)
    {
        value = default;
        var next = _samples.FirstAtOrAfter(time);
        if (next == _samples.Count) return false;
        var times = _samples.Times;
        double lagged, perLag;
        if (times[next] == time)
        {
            (lagged, perLag) = (_lagged[next], _perLag[next]);
        }
        else
        {
            if (next == 0 || _run[next] != _run[next - 1]) return false;
            var (dt, span) = (time - times[next - 1], times[next] - times[next - 1]);
            var (x0, x1) = (_samples.ValuesC[next - 1], _samples.ValuesC[next]);
            lagged = Step(_lagged[next - 1], x0, x0 + (x1 - x0) * (dt / span), dt, LagS);
            // Without lag it is the slope of the stretch itself, which jumps at samples.
            perLag = LagS > 0 ? _perLag[next - 1] + (_perLag[next] - _perLag[next - 1]) * (dt / span) : _perLag[next];
        }
        var run = _run[next];
        value = new(lagged, run, LagS > 0 ? Math.Exp(-(time - times[_runStarts[run]]) / LagS) : 0, perLag);
        return true;
    }
}
