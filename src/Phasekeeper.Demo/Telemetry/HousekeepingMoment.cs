using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.ForwardModel;
using Phasekeeper.Demo.Noise;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Telemetry;

/// <summary>What the channels of one housekeeping packet are worked out from. Sensor noise is drawn in the order of the channels.</summary>
public sealed class HousekeepingMoment
{
    private HashRandom random;

    /// <summary>Context of the packet with a number, at its time.</summary>
    public HousekeepingMoment(ulong seed, int apid, long number) => random = new HashRandom(seed, 0x4B, (ulong)apid, (ulong)number);

    /// <summary>Time.</summary>
    public required Instant Time { get; init; }
    /// <summary>Seconds since housekeeping began.</summary>
    public required double UptimeS { get; init; }
    /// <summary>Temperatures.</summary>
    public required ThermalState Thermal { get; init; }
    /// <summary>Events.</summary>
    public required EventTimeline Events { get; init; }
    /// <summary>Schedule.</summary>
    public required ExposureSchedule Schedule { get; init; }
    /// <summary>Lamp brightness relative to the scenario's start.</summary>
    public required double LampFactor { get; init; }
    /// <summary>Memory errors corrected since 00:00 UTC.</summary>
    public required double MemoryErrors { get; init; }
    /// <summary>Fraction of the orbit since the ascending node.</summary>
    public required double OrbitPhase { get; init; }
    /// <summary>Exposures begun so far.</summary>
    public required long Exposures { get; init; }

    /// <summary>True while the manoeuvre lasts.</summary>
    public bool Slewing => Events.IsActive(ScenarioEventKind.Manoeuvre, Time);
    /// <summary>True while the lamp burns (10 s either side of a lamp exposure's middle, and throughout a lamp test).</summary>
    public bool LampOn => Schedule.IsNear(ExposureKind.Lamp, Time, 10) || Events.IsActive(ScenarioEventKind.LampTest, Time);
    /// <summary>True while an exposure of the kind is near.</summary>
    public bool Near(ExposureKind kind) => Schedule.IsNear(kind, Time, 15);

    /// <summary>Sensor noise.</summary>
    public double Noise(double sigma) => sigma * random.NextNormal();

    /// <summary>A heater driven in bursts: on during the first share of every ten minutes.</summary>
    public bool HeaterOn(double share, double offsetS) => (UptimeS + offsetS) % 600 < 600 * share;

    /// <summary>Share of the time that the interferometer's heater is on: more in shadow, none when stuck.</summary>
    public bool InterferometerHeaterOn => !Events.IsActive(ScenarioEventKind.HeaterStuckOff, Time) && HeaterOn(0.62 - 0.25 * Thermal.SunlitShare, 0);

    /// <summary>Battery charge, %: falls in shadow, recovers in the Sun (through the deck's lag).</summary>
    public double BatteryPercent => Math.Clamp(86 + 1.5 * (Thermal.DeckC - 18), 40, 100);
}
