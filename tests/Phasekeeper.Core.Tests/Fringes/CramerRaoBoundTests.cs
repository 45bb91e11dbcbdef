using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Tests;

namespace Phasekeeper.Core.Tests.Fringes;

public sealed class CramerRaoBoundTests
{
    private const double OnePartInABillion = 1e-9;

    private static double Number(Dictionary<string, string> row, string column) => double.Parse(row[column], CultureInfo.InvariantCulture);

    private static LineModel Line(double wavelengthNm, double opdMm, double lampNm = 600) => new()
    {
        Id = "x",
        WavelengthVacuumNm = wavelengthNm,
        OpdMm = opdMm,
        OpdStepUm = 25,
        Cycles = 50,
        LampCycles = 50,
        LampWavelengthVacuumNm = lampNm,
    };

    // Source: tests/reference/dash_phase_noise_limit.csv (closed form 1/√(N(1 − √(1 − V²))), Poisson counts, whole fringes).
    [Fact]
    public void Bound_of_whole_fringes_is_the_closed_form_of_the_photon_limit()
    {
        const int samples = 1 << 14;
        var ones = Enumerable.Repeat(1.0, samples).ToArray();
        var phase = Enumerable.Range(0, samples).Select(i => 2 * Math.PI * 37 * i / samples).ToArray();
        foreach (var row in ReferenceFiles.ReadCsv("dash_phase_noise_limit.csv"))
        {
            double v = Number(row, "visibility"), total = Number(row, "total_photo_electrons"), expected = Number(row, "sigma_phase_cramer_rao_rad");
            if (v >= 1) continue; // at V = 1 samples have zero mean and the sum over samples does not converge to the integral
            var bound = CramerRaoBound.Of(ones, ones, phase, total / samples, v, varianceFloor: 0);
            Assert.Equal(1, bound.PhaseSigmaRad / expected, OnePartInABillion);
            Assert.Equal(1, bound.PhaseSigmaRad / Line(1e7 / 17924.721, 50).KappaAtMeanRadPerMs / Number(row, "sigma_wind_557_D5cm_m_s"), OnePartInABillion);
            Assert.Equal(1, bound.PhaseSigmaRad / Line(1e7 / 15867.862, 50).KappaAtMeanRadPerMs / Number(row, "sigma_wind_630_D5cm_m_s"), OnePartInABillion);
        }
    }

    // Source: tests/reference/fringes_results.csv, column cramer_rao_with_amplitude_offset_rad (numpy, 6 decimals of the mantissa; the visibility
    // of the model varies along the row with the line's temperature).
    [Fact]
    public void Bound_of_the_reference_interferograms_agrees_with_the_independent_one()
    {
        const double asPrinted = 1e-6;
        foreach (var row in ReferenceFiles.ReadCsv("fringes_results.csv"))
        {
            var reference = new ReferenceInterferogram(row);
            var bound = CramerRaoBound.Of(reference.Flat, reference.Envelope, reference.PhaseRad, reference.MeanCounts, reference.Visibility, 0);
            Assert.Equal(1, bound.PhaseSigmaRad / Number(row, "cramer_rao_with_amplitude_offset_rad"), asPrinted);
        }
    }

    [Fact]
    public void Masked_samples_read_noise_and_dark_widen_the_bound()
    {
        var ones = Enumerable.Repeat(1.0, 256).ToArray();
        var phase = Enumerable.Range(0, 256).Select(i => 2 * Math.PI * 57.7 * i / 256).ToArray();
        var half = Enumerable.Range(0, 256).Select(i => i >= 128).ToArray();
        var all = CramerRaoBound.Of(ones, ones, phase, 1000, 0.6, 0).PhaseSigmaRad;
        Assert.InRange(CramerRaoBound.Of(ones, ones, phase, 1000, 0.6, 0, half).PhaseSigmaRad / all, 1.40, 1.43); // √2, up to broken fringes
        Assert.True(CramerRaoBound.Of(ones, ones, phase, 1000, 0.6, 64).PhaseSigmaRad > 1.02 * all);
        Assert.Throws<ArgumentException>(() => CramerRaoBound.Of(ones, ones, phase, 1000, 0.6, 0, Enumerable.Range(0, 256).Select(i => i > 1).ToArray()));
    }

    // Source: tests/reference/dash_phase_per_wind.csv.
    [Fact]
    public void Phase_per_wind_and_wavenumbers_agree_with_the_reference()
    {
        foreach (var row in ReferenceFiles.ReadCsv("dash_phase_per_wind.csv"))
        {
            double wavenumber = Number(row, "vacuum_wavenumber_cm-1"), opdCm = Number(row, "path_difference_cm");
            var line = Line(1e7 / wavenumber, 10 * opdCm);
            Assert.Equal(1, line.KappaAtMeanRadPerMs / Number(row, "dphase_dv_rad_per_m_s"), OnePartInABillion);
            Assert.Equal(1, line.KappaRadPerMs(127.5, 127.5) / Number(row, "dphase_dv_rad_per_m_s"), OnePartInABillion);
            Assert.Equal(1, line.WavenumberPerM * opdCm * 1e-2 / Number(row, "order_of_interference"), OnePartInABillion);
            Assert.Equal(1, 2 * Math.PI / line.KappaAtMeanRadPerMs / Number(row, "wind_of_one_fringe_m_s"), OnePartInABillion);
        }
    }

    // Source: tests/reference/atomic_lines.csv (NIST level energies); vacuum wavelengths there are printed to 1e-6 nm.
    [Fact]
    public void Line_wavenumbers_agree_with_the_atomic_lines()
    {
        foreach (var row in ReferenceFiles.ReadCsv("atomic_lines.csv"))
            Assert.Equal(Number(row, "vacuum_wavenumber_cm-1"), Line(Number(row, "vacuum_wavelength_nm"), 50).WavenumberPerM / 100, 5e-4);
    }

    // Source: tests/reference/dash_lamp_drift_transfer.csv: a drift of the path difference alone scales with the wavenumber.
    [Fact]
    public void Lamp_drift_scales_with_the_ratio_of_wavenumbers()
    {
        var lines = ReferenceFiles.ReadCsv("atomic_lines.csv").ToDictionary(r => r["line"].Replace(" green", "").Replace(" red", "").Replace(" lamp", ""), r => 1e7 / Number(r, "vacuum_wavenumber_cm-1"));
        foreach (var row in ReferenceFiles.ReadCsv("dash_lamp_drift_transfer.csv"))
        {
            const double asPrinted = 3e-9; // lamp wavenumbers are printed to 1e-4 cm⁻¹
            var line = Line(lines[row["airglow_line"]], 50, lines[row["lamp_line"]]);
            var path = Number(row, "path_change_nm") * 1e-9;
            var lampPhase = 2 * Math.PI * line.LampWavenumberPerM * path;
            Assert.Equal(1, lampPhase / Number(row, "lamp_phase_rad"), asPrinted);
            Assert.Equal(1, lampPhase * line.WavenumberPerM / line.LampWavenumberPerM / Number(row, "airglow_phase_rad"), asPrinted);
            Assert.Equal(Number(row, "ratio_airglow_to_lamp"), line.WavenumberPerM / line.LampWavenumberPerM, asPrinted);
            Assert.Equal(1, 2 * Math.PI * line.WavenumberPerM * path / line.KappaAtMeanRadPerMs / Number(row, "wind_equivalent_at_D5cm_m_s"), asPrinted);
        }
    }

    // Source: tests/reference/dash_contrast_temperature.csv (printed to 1e-9 of the values).
    [Fact]
    public void Contrast_and_best_path_difference_follow_the_temperature()
    {
        foreach (var row in ReferenceFiles.ReadCsv("dash_contrast_temperature.csv"))
        {
            var wavenumber = row["line"].StartsWith("O I 557", StringComparison.Ordinal) ? 17924.721e2 : 15867.862e2;
            var t = Number(row, "temperature_K");
            Assert.Equal(1, LineShape.DopplerWidthPerM(wavenumber, t) / 100 / Number(row, "sigma_D_cm-1"), 5e-9);
            Assert.Equal(1, LineShape.ThermalSpeedMs(t) / Number(row, "thermal_speed_sigma_m_s"), 5e-9);
            Assert.Equal(1, LineShape.BestOpdM(wavenumber, t) * 100 / Number(row, "best_path_difference_cm"), 5e-9);
            Assert.Equal(1, LineShape.Contrast(wavenumber, t, 0.03) / Number(row, "contrast_D_3cm"), OnePartInABillion);
            Assert.Equal(1, LineShape.Contrast(wavenumber, t, 0.05) / Number(row, "contrast_D_5cm"), OnePartInABillion);
            Assert.Equal(1, LineShape.Contrast(wavenumber, t, 0.06) / Number(row, "contrast_D_6cm"), OnePartInABillion);
        }
    }
}
