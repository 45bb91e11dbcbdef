using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Thermal;

/// <summary>
/// φ_opt = k·(T_lag − T_ref), rad: the optical drift that the approved coefficient set expects from temperature alone, without the slowly
/// varying offset c(t) that only the lamp can measure (domain.md section 3 step 6).
/// </summary>
public sealed class ThermalModel(ThermalLaw law, LaggedTemperature lagged)
{
    /// <summary>k, τ and T_ref.</summary>
    public ThermalLaw Law { get; } = law;

    /// <summary>T_lag for this law's τ.</summary>
    public LaggedTemperature Lagged { get; } = lagged;

    /// <summary>Filters the temperature with the law's lag.</summary>
    public static ThermalModel From(ThermalLaw law, TemperatureSeries interferometerC) => new(law, new LaggedTemperature(interferometerC, law.LagS));

    /// <summary>Drift at a lagged temperature, rad.</summary>
    public double DriftRad(double laggedC) => Law.RadPerK * (laggedC - Law.ReferenceC);

    /// <summary>Drift at a moment, rad, with the lagged temperature behind it; false where the temperature is not known.</summary>
    public bool TryGet(Instant time, out double driftRad, out LaggedValue laggedValue)
    {
        driftRad = double.NaN;
        if (!Lagged.TryGet(time, out laggedValue)) return false;
        driftRad = DriftRad(laggedValue.LaggedC);
        return true;
    }
}
