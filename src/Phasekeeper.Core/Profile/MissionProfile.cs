using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Profile;

/// <summary>A mission as its profile folder describes it (contract.md section 2), validated; files are named, not read.</summary>
public sealed record MissionProfile
{
    /// <summary>Spacecraft name.</summary>
    public required string Spacecraft { get; init; }
    /// <summary>Catalogue number, for matching TLE/OMM; 0 = not given.</summary>
    public int CatalogNumber { get; init; }
    /// <summary>Added to every orbit number.</summary>
    public int RevolutionOffset { get; init; }
    /// <summary>First moment that a packet time may have.</summary>
    public Instant SpanStart { get; init; } = Instant.FromUtc(1990, 1, 1);
    /// <summary>End (exclusive) of the moments that a packet time may have.</summary>
    public Instant SpanEnd { get; init; } = Instant.FromUtc(2100, 1, 1);
    /// <summary>True when packets arrive as they are measured, so that the wall clock tells latency.</summary>
    public bool Live { get; init; }
    /// <summary>File name of the orbit in the profile folder; null = none.</summary>
    public string? OrbitFile { get; init; }
    /// <summary>File name of the attitude (AEM); null = nominal.</summary>
    public string? AttitudeFile { get; init; }
    /// <summary>Packets.</summary>
    public required PacketSettings Packets { get; init; }
    /// <summary>Fringe telemetry; null = housekeeping only.</summary>
    public FringeSettings? Fringe { get; init; }
    /// <summary>The instrument; null = housekeeping only.</summary>
    public InstrumentModel? Instrument { get; init; }
    /// <summary>Telemetry parameter of the interferometer's temperature, °C; null = none.</summary>
    public string? InterferometerTemperature { get; init; }
    /// <summary>Telemetry parameter of the bench's temperature, °C; null = none.</summary>
    public string? BenchTemperature { get; init; }
    /// <summary>Telemetry parameter of the detector's temperature, °C; null = none.</summary>
    public string? DetectorTemperature { get; init; }
    /// <summary>File of the first coefficient set (ground calibration); null = housekeeping only.</summary>
    public string? CoefficientsFile { get; init; }
    /// <summary>Expected seconds between scene exposures; 0 = not given.</summary>
    public double SceneSeconds { get; init; }
    /// <summary>Expected seconds between lamp exposures; 0 = not given.</summary>
    public double LampSeconds { get; init; }
    /// <summary>Rules file; null = defaults.</summary>
    public string? RulesFile { get; init; }
    /// <summary>iCalendar file of planned activities; null = none.</summary>
    public string? ActivitiesFile { get; init; }
    /// <summary>Kinds of planned activities: the usual ones, with what the profile changes or adds.</summary>
    public Activities.ActivityKinds ActivityKinds { get; init; } = Activities.ActivityKinds.Default;
    /// <summary>Causes that the explanation of a flag chooses from, in the order in which they are offered.</summary>
    public IReadOnlyList<string> FlagCauses { get; init; } = Flags.Life.FlagCauses.Default;

    /// <summary>Role of a telemetry channel as the profile names it, e.g. "benchTemperature"; null when it has none.</summary>
    public string? RoleOf(string channel) =>
        channel == InterferometerTemperature ? "interferometerTemperature"
        : channel == BenchTemperature ? "benchTemperature"
        : channel == DetectorTemperature ? "detectorTemperature" : null;
}

/// <summary>Time scale of a packet's time code.</summary>
public enum TimeScale
{
    /// <summary>Coordinated universal time.</summary>
    Utc,
    /// <summary>International atomic time.</summary>
    Tai,
    /// <summary>GPS time (TAI − 19 s).</summary>
    Gps,
}

/// <summary>How packets are framed and timed.</summary>
public sealed record PacketSettings
{
    /// <summary>XTCE file in the profile folder.</summary>
    public required string DefinitionFile { get; init; }
    /// <summary>True: CRC-16 in the last two bytes of every packet.</summary>
    public bool Crc16 { get; init; }
    /// <summary>Time code.</summary>
    public required PacketTimeSettings Time { get; init; }
}

/// <summary>Time code of a packet: either day segmented (CDS) or unsegmented (CUC), built from named telemetry parameters.</summary>
public sealed record PacketTimeSettings
{
    /// <summary>True = CDS (day, millisecond, microsecond), false = CUC (coarse, fine).</summary>
    public required bool IsCds { get; init; }
    /// <summary>CDS: parameter with the day count.</summary>
    public string? Day { get; init; }
    /// <summary>CDS: parameter with milliseconds of day.</summary>
    public string? Millisecond { get; init; }
    /// <summary>CDS: parameter with microseconds of the millisecond; null = none.</summary>
    public string? Microsecond { get; init; }
    /// <summary>CUC: parameter with whole seconds.</summary>
    public string? Coarse { get; init; }
    /// <summary>CUC: parameter with the fraction; null = none.</summary>
    public string? Fine { get; init; }
    /// <summary>CUC: bits of the fraction.</summary>
    public int FineBits { get; init; }
    /// <summary>Epoch as a calendar date and time in the code's own scale.</summary>
    public required DateTime Epoch { get; init; }
    /// <summary>Scale of the count.</summary>
    public required TimeScale Scale { get; init; }
}

/// <summary>Which moment of an exposure a packet's time is.</summary>
public enum TimeTag
{
    /// <summary>Middle (default).</summary>
    Middle,
    /// <summary>Start.</summary>
    Start,
    /// <summary>End.</summary>
    End,
}

/// <summary>Names of the XTCE container and parameters that carry fringe rows.</summary>
public sealed record FringeSettings
{
    /// <summary>Container name.</summary>
    public required string Container { get; init; }
    /// <summary>Exposure number.</summary>
    public required string Exposure { get; init; }
    /// <summary>Kind (enumerated: scene, lamp, dark, flat).</summary>
    public required string Kind { get; init; }
    /// <summary>View (enumerated: view ids).</summary>
    public required string View { get; init; }
    /// <summary>Line (enumerated: line ids).</summary>
    public required string Line { get; init; }
    /// <summary>Detector row.</summary>
    public required string Row { get; init; }
    /// <summary>Integration time, ms.</summary>
    public required string Integration { get; init; }
    /// <summary>The samples (array).</summary>
    public required string Samples { get; init; }
    /// <summary>Which moment of the exposure the packet's time is.</summary>
    public TimeTag TimeTag { get; init; } = TimeTag.Middle;
}
