using Phasekeeper.Core.Fringes;

namespace Phasekeeper.Demo.Telemetry;

/// <summary>
/// All housekeeping of Kittiwake. The XTCE definition, the packets and the alarm ranges come from this one table.
/// </summary>
public static partial class HousekeepingChannels
{
    /// <summary>APID of fringe rows.</summary>
    public const int FringeApid = 210;

    private static readonly Calibration Fine = new LinearCalibration(-40, 0.001);
    private static readonly Calibration Thermistor = new SplineCalibration(
        (0, -55), (420, -40), (900, -25), (1400, -10), (1850, 5), (2250, 20), (2650, 36), (3050, 54), (3500, 78), (4095, 115));
    private static readonly Calibration Platinum = new QuadraticCalibration(-60, 0.0024, 4e-9);

    private static readonly HousekeepingPacket[] Table =
    [
        new("HkThermal", "Temperatures", 110, 10,
        [
            Temperature("IFO_T1", "Interferometer, base of the fore arm", Fine, m => m.Thermal.InterferometerC + m.Noise(0.002), (17, 23.5), (12, 28)),
            Temperature("IFO_T2", "Interferometer, base of the aft arm", Fine, m => m.Thermal.InterferometerC + 0.35 - 0.9 * m.Thermal.HeaterDeficit + m.Noise(0.002), (17, 24), (12, 28)),
            Temperature("IFO_T3", "Interferometer, housing", Fine, m => 0.7 * m.Thermal.InterferometerC + 0.3 * m.Thermal.BenchC + 0.2 + m.Noise(0.003), (14, 23), (10, 28)),
            Temperature("OB_T1", "Optical bench, centre", Fine, m => m.Thermal.BenchC + m.Noise(0.002), (11, 19), (5, 25)),
            Temperature("OB_T2", "Optical bench, telescope end", Platinum, m => m.Thermal.BenchC + 0.04 * (m.Thermal.PanelC + 8) - 0.8 + m.Noise(0.01), (9, 19), (3, 25)),
            Temperature("DET_T1", "Detector", Fine, m => m.Thermal.DetectorC + m.Noise(0.003), (-21.5, -18.5), (-25, -12)),
            Temperature("DET_T2", "Detector, second sensor", Fine, m => m.Thermal.DetectorC + 0.12 + m.Noise(0.003), (-21.5, -18.3), (-25, -12)),
            Temperature("LAMP_T1", "Calibration lamp", Platinum, m => 22 + 0.5 * (m.Thermal.DeckC - 18) + (m.LampOn ? 3.5 : 0) + m.Noise(0.02), (10, 34), (0, 45)),
            Temperature("RAD_T1", "Radiator", Thermistor, m => m.Thermal.PanelC + m.Noise(0.05), (-45, 15), (-52, 30)),
            Temperature("DECK_T1", "Instrument deck", Thermistor, m => m.Thermal.DeckC + m.Noise(0.03), (8, 28), (0, 40)),
            Temperature("ELEC_T1", "Instrument electronics", Thermistor, m => m.Thermal.DeckC + 9.5 + (m.Slewing ? 1.5 : 0) + m.Noise(0.03), (15, 40), (5, 55)),
        ]),
        new("HkPower", "Power and heaters", 111, 30,
        [
            new("BUS_V", "Bus voltage", "V", 16, m => 27.2 + 0.03 * (m.BatteryPercent - 70) + 1.4 * m.Thermal.SunlitShare + m.Noise(0.03))
                { Calibration = new LinearCalibration(0, 0.001), Warning = (26, 31), Critical = (24, 33) },
            new("BUS_I", "Bus current", "A", 16, m => 3.1 + (m.InterferometerHeaterOn ? 0.42 : 0) + (m.LampOn ? 0.15 : 0) + (m.Slewing ? 0.8 : 0) + m.Noise(0.02))
                { Calibration = new LinearCalibration(0, 0.0005), Warning = (2, 6), Critical = (1, 8) },
            new("BAT_V", "Battery voltage", "V", 16, m => 24.4 + 0.045 * m.BatteryPercent + m.Noise(0.02))
                { Calibration = new LinearCalibration(0, 0.001), Warning = (26, 30), Critical = (24, 32) },
            new("BAT_I", "Battery current, charging positive", "A", 16, m => m.Thermal.SunlitShare * (1.9 + m.Noise(0.05)) - (1 - m.Thermal.SunlitShare) * (3.2 + m.Noise(0.04)))
                { Signed = true, Calibration = new LinearCalibration(0, 0.001), Warning = (-5, 5), Critical = (-8, 8) },
            new("BAT_SOC", "Battery charge", "%", 8, m => m.BatteryPercent + m.Noise(0.2))
                { Calibration = new LinearCalibration(0, 0.5), Warning = (60, null), Critical = (45, null) },
            Temperature("BAT_T1", "Battery", Thermistor, m => 12 + 0.35 * (m.Thermal.DeckC - 18) + m.Noise(0.04), (4, 25), (0, 35)),
            new("SA_I", "Solar array current", "A", 16, m => Math.Max(0, m.Thermal.SunlitShare * (6.1 + 0.4 * Math.Cos(4 * Math.PI * m.OrbitPhase)) + m.Noise(0.02)))
                { Calibration = new LinearCalibration(0, 0.0005), Warning = (null, 8), Critical = (null, 10) },
            new("LAMP_I", "Lamp current", "mA", 16, m => m.LampOn ? 150 * (m.LampFactor > 1.05 ? 1.2 : 1) + m.Noise(0.3) : 0.2 + Math.Abs(m.Noise(0.1)))
                { Calibration = new LinearCalibration(0, 0.01), Warning = (null, 170), Critical = (null, 220) },
            new("LAMP_V", "Lamp voltage", "V", 16, m => m.LampOn ? 91 + 9 * (1 - Math.Min(1, m.LampFactor)) + m.Noise(0.05) : 0)
                { Calibration = new LinearCalibration(0, 0.002), Warning = (null, 97), Critical = (null, 120) },
            Heater("HTR_IFO", "Interferometer heater", m => m.InterferometerHeaterOn),
            Heater("HTR_OB", "Optical bench heater", m => m.HeaterOn(0.35 - 0.1 * m.Thermal.SunlitShare, 170)),
            Heater("HTR_BAT", "Battery heater", m => m.Thermal.SunlitShare < 0.5 && m.HeaterOn(0.4, 310)),
            new("HTR_IFO_I", "Interferometer heater current", "A", 16, m => (m.InterferometerHeaterOn ? 0.42 : 0) + Math.Abs(m.Noise(0.001)))
                { Calibration = new LinearCalibration(0, 0.0001), Warning = (null, 0.5), Critical = (null, 0.7) },
            new("TEC_I", "Detector cooler current", "A", 16, m => 0.85 + 0.012 * (m.Thermal.DeckC - 18) + m.Noise(0.002))
                { Calibration = new LinearCalibration(0, 0.0001), Warning = (0.5, 1.2), Critical = (0.2, 1.5) },
        ]),
        new("HkStatus", "Modes, attitude and counters", 112, 30,
        [
            new("MODE", "Spacecraft mode", "", 8, m => m.Slewing ? 4 : 2)
                { Labels = ["SAFE", "STANDBY", "SCIENCE", "CALIBRATION", "SLEW"], LabelAlarms = [("SAFE", "critical"), ("STANDBY", "warning")] },
            new("INS_MODE", "Instrument mode", "", 8, m => m.LampOn ? 2 : m.Near(ExposureKind.Dark) ? 3 : m.Near(ExposureKind.Flat) ? 4 : 1)
                { Labels = ["OFF", "SCENE", "LAMP", "DARK", "FLAT"], LabelAlarms = [("OFF", "warning")] },
            new("SHUTTER", "Shutter", "", 8, m => m.Near(ExposureKind.Dark) ? 0 : 1) { Labels = ["CLOSED", "OPEN", "STALLED"], LabelAlarms = [("STALLED", "critical")] },
            new("LAMP", "Lamp switch", "", 8, m => m.LampOn ? 1 : 0) { Labels = ["OFF", "ON"] },
            new("ST_STATUS", "Star tracker", "", 8, m => m.Slewing ? 1 : 0) { Labels = ["TRACKING", "ACQUIRING", "LOST"], LabelAlarms = [("LOST", "warning")] },
            new("ST_STARS", "Stars tracked", "", 8, m => Math.Clamp(Math.Round((m.Slewing ? 5 : 13) + m.Noise(1.2)), 3, 20)),
            Attitude("ATT_X", "Roll error"), Attitude("ATT_Y", "Pitch error"), Attitude("ATT_Z", "Yaw error"),
            Wheel("RW1_RPM", "Reaction wheel 1", 1850, 0), Wheel("RW2_RPM", "Reaction wheel 2", -1620, 0.25),
            Wheel("RW3_RPM", "Reaction wheel 3", 1240, 0.5), Wheel("RW4_RPM", "Reaction wheel 4", -990, 0.75),
            new("EDAC_COUNT", "Memory errors corrected since 00:00 UTC", "", 16, m => m.MemoryErrors) { Warning = (null, 900), Critical = (null, 3000) },
            new("EXP_COUNT", "Exposures taken", "", 32, m => m.Exposures),
            new("CMD_COUNT", "Commands accepted", "", 16, m => 2000 + Math.Floor(m.UptimeS / 5400) * 3),
            new("UPTIME", "Seconds since the last start of the computer", "s", 32, m => 4_000_000 + m.UptimeS),
            new("CPU_LOAD", "Load of the computer", "%", 8, m => (m.Near(ExposureKind.Scene) ? 46 : 31) + (m.Slewing ? 12 : 0) + m.Noise(2)) { Warning = (null, 80), Critical = (null, 95) },
            new("MEM_FREE", "Memory free for telemetry", "%", 8, m => 72 - 14 * m.OrbitPhase + m.Noise(0.4)) { Warning = (30, null), Critical = (10, null) },
        ]),
    ];

    private static HousekeepingChannel Temperature(string name, string description, Calibration calibration, Func<HousekeepingMoment, double> value,
        (double?, double?) warning, (double?, double?) critical) =>
        new(name, "Temperature: " + char.ToLowerInvariant(description[0]) + description[1..], "degC", 16, value) { Calibration = calibration, Warning = warning, Critical = critical };

    private static HousekeepingChannel Heater(string name, string description, Func<HousekeepingMoment, bool> on) =>
        new(name, description, "", 8, m => on(m) ? 1 : 0) { Labels = ["OFF", "ON"] };

    private static HousekeepingChannel Attitude(string name, string description) =>
        new(name, description + " against nominal attitude", "deg", 16, m => m.Noise(m.Slewing ? 0.02 : 0.0015))
        { Signed = true, Calibration = new LinearCalibration(0, 0.0001), Warning = (-0.15, 0.15), Critical = (-0.5, 0.5) };

    private static HousekeepingChannel Wheel(string name, string description, double rpm, double phase) =>
        new(name, description, "rpm", 16, m => rpm * (m.Slewing ? 1.6 : 1) + 260 * Math.Sin(2 * Math.PI * (m.OrbitPhase + phase)) + m.Noise(2))
        { Signed = true, Warning = (-4500, 4500), Critical = (-6000, 6000) };
}
