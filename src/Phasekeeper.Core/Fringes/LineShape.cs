using Phasekeeper.Core.Instrument;

namespace Phasekeeper.Core.Fringes;

/// <summary>
/// Thermal width of an oxygen line and what it does to the fringe contrast. Contrast = exp(−2π²·σ_D²·D²) with σ_D the standard deviation in
/// wavenumber of a Gaussian line and D the whole path difference (derived in tests/reference/README.md, dash_contrast_temperature.csv).
/// </summary>
public static class LineShape
{
    /// <summary>Boltzmann constant, J/K (exact, SI 2019).</summary>
    public const double BoltzmannJPerK = 1.380649e-23;
    /// <summary>Mass of an oxygen-16 atom, kg: 15.99491461957 u (AME2012) × 1.66053906660e-27 kg (CODATA 2018).</summary>
    public const double Oxygen16MassKg = 15.99491461957 * 1.66053906660e-27;

    /// <summary>Standard deviation of the thermal speed along the line of sight, m/s: √(kT/m).</summary>
    public static double ThermalSpeedMs(double temperatureK) => Math.Sqrt(BoltzmannJPerK * temperatureK / Oxygen16MassKg);

    /// <summary>Gaussian Doppler width σ_D (standard deviation) of a line of the given wavenumber, 1/m.</summary>
    public static double DopplerWidthPerM(double wavenumberPerM, double temperatureK) =>
        wavenumberPerM * ThermalSpeedMs(temperatureK) / LineModel.SpeedOfLightMs;

    /// <summary>Fringe contrast 0…1 at a path difference, m.</summary>
    public static double Contrast(double wavenumberPerM, double temperatureK, double opdM)
    {
        var x = Math.PI * DopplerWidthPerM(wavenumberPerM, temperatureK) * opdM;
        return Math.Exp(-2 * x * x);
    }

    /// <summary>Path difference at which path difference times contrast, and so the wind's precision, is best, m: 1/(2πσ_D).</summary>
    public static double BestOpdM(double wavenumberPerM, double temperatureK) =>
        1 / (2 * Math.PI * DopplerWidthPerM(wavenumberPerM, temperatureK));
}
