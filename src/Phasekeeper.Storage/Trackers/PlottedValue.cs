using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage;

/// <summary>A finite value of a series as a plot shows it, with its stored statistics; tracker's unit, CUSUM in σ. NaN where there is none.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="Time">Middle of the orbit's data.</param>
/// <param name="Value">Value.</param>
/// <param name="Sigma">1σ.</param>
/// <param name="N">Number of points behind the value.</param>
/// <param name="Expected">What the approved set and the recent orbits let expect.</param>
/// <param name="Ewma">EWMA.</param>
/// <param name="EwmaSigma">1σ of the steady EWMA.</param>
/// <param name="Charted">The value as charted: a phase is moved by whole periods to lie near those before it.</param>
/// <param name="CusumHigh">Upper CUSUM.</param>
/// <param name="CusumLow">Lower CUSUM.</param>
/// <param name="State">What the charts say of it.</param>
public readonly record struct PlottedValue(
    int Orbit, Instant Time, double Value, double Sigma, int N, double Expected, double Ewma, double EwmaSigma, double Charted, double CusumHigh, double CusumLow, TrackerState State)
{
    /// <summary>Of a whole row.</summary>
    public static PlottedValue Of(TrackerRow row)
    {
        ArgumentNullException.ThrowIfNull(row);
        return new(row.Orbit, row.Time, row.Value, row.Sigma, row.N, row.Expected, row.Ewma, row.EwmaSigma, row.Charted, row.CusumHigh, row.CusumLow, StateOf(row.State));
    }

    /// <summary>State by its stored word.</summary>
    public static TrackerState StateOf(string word) => word switch
    {
        "normal" => TrackerState.Normal,
        "warning" => TrackerState.Warning,
        "critical" => TrackerState.Critical,
        _ => TrackerState.Provisional,
    };
}
