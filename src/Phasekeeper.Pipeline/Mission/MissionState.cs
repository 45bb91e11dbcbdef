using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Instrument;
using Phasekeeper.Core.Profile;
using Phasekeeper.Packets.Decoding;
using Phasekeeper.Pipeline.Orbits;

namespace Phasekeeper.Pipeline.Mission;

/// <summary>
/// Everything besides packets that products depend on, as it is at one time: immutable, so a stage works with one state from begin to end.
/// A new file or decision makes a new state.
/// </summary>
public sealed record MissionState
{
    /// <summary>The profile.</summary>
    public required MissionProfile Profile { get; init; }
    /// <summary>The compiled telemetry definition.</summary>
    public required DecodingPlan Plan { get; init; }
    /// <summary>Orbit files.</summary>
    public required EphemerisLibrary Ephemerides { get; init; }
    /// <summary>Attitude files.</summary>
    public required AttitudeLibrary Attitudes { get; init; }
    /// <summary>Orbit numbers and bounds.</summary>
    public required OrbitCalendar Orbits { get; init; }
    /// <summary>Coefficient sets in force.</summary>
    public required CoefficientTimeline Coefficients { get; init; }
    /// <summary>Versions of the flag rules, and which orbits each judges.</summary>
    public required RuleTimeline RuleVersions { get; init; }
    /// <summary>The flag rules that judge what comes.</summary>
    public RuleSet Rules => RuleVersions.Newest.Rules;
    /// <summary>Planned activities.</summary>
    public required IReadOnlyList<PlannedActivity> Activities { get; init; }

    /// <summary>The instrument; null for housekeeping only.</summary>
    public InstrumentModel? Instrument => Profile.Instrument;

    /// <summary>Channels that have a role.</summary>
    public IEnumerable<string> RoleChannels =>
        new[] { Profile.InterferometerTemperature, Profile.BenchTemperature, Profile.DetectorTemperature }.OfType<string>();
}
