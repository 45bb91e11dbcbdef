using Phasekeeper.Core.Flags.Grouping;

namespace Phasekeeper.Core.Activities;

/// <summary>The kinds of planned activities of a mission: the usual ones, with what its profile changes or adds.</summary>
public sealed class ActivityKinds
{
    // Chosen: an orbit of 96 min, the grain in which the satellite's temperatures settle.
    private const double OrbitS = 5760;

    private static readonly FlagTopic[] Thermal = [FlagTopic.Heater, FlagTopic.Temperature, FlagTopic.ImageShift, FlagTopic.ThermalPhase, FlagTopic.ScenePhase];
    private static readonly FlagTopic[] Gaps = [FlagTopic.Gap, FlagTopic.Late, FlagTopic.Incomplete, FlagTopic.LampMissing];

    /// <summary>Orbit or attitude manoeuvre.</summary>
    public static ActivityKind Manoeuvre { get; } = Kind("manoeuvre", "Manoeuvre", "moves the satellite and its attitude; scenes may pause, the Sun falls on other sides, and the orbit file before it no longer holds",
        WindDoubt.Always, 2 * OrbitS, ["maneuver", "orbit raise", "orbit control", "thruster"], [.. Thermal, .. Gaps, FlagTopic.Attitude, FlagTopic.Coverage]);

    /// <summary>Calibration lamp run outside its routine.</summary>
    public static ActivityKind LampTest { get; } = Kind("lamp-test", "Lamp test", "runs the lamp outside its routine, so its brightness, its number of exposures and its warmth differ",
        WindDoubt.Never, OrbitS, ["lamp"], FlagTopic.Lamp, FlagTopic.LampSupply, FlagTopic.LampMissing, FlagTopic.Visibility, FlagTopic.Incomplete, FlagTopic.Temperature, FlagTopic.ThermalPhase);

    /// <summary>Turn about the vertical.</summary>
    public static ActivityKind YawTurn { get; } = Kind("yaw-turn", "Yaw turn", "turns other sides to the Sun; temperatures and their swing change for some orbits",
        WindDoubt.WithoutAttitudeFile, 3 * OrbitS, ["yaw"], [.. Thermal, .. Gaps, FlagTopic.Attitude]);

    /// <summary>Warming the detector or optics to drive off contamination.</summary>
    public static ActivityKind BakeOut { get; } = Kind("bake-out", "Bake-out", "warms detector and optics; dark current, temperatures and phases are far from normal until a day after",
        WindDoubt.Always, 15 * OrbitS, ["bake", "decontamination", "anneal"], [.. Thermal, .. Gaps, FlagTopic.Lamp, FlagTopic.Visibility, FlagTopic.Detector, FlagTopic.Spikes]);

    /// <summary>Heaters run outside their routine.</summary>
    public static ActivityKind HeaterTest { get; } = Kind("heater-test", "Heater test", "runs heaters outside their routine; temperatures move, and phases follow them with the optics' lag",
        WindDoubt.Never, 2 * OrbitS, ["heater"], Thermal);

    /// <summary>New software or tables on board.</summary>
    public static ActivityKind SoftwareUpload { get; } = Kind("software-upload", "Software upload", "restarts on-board software; packets may pause, repeat, or come with a clock that was set anew",
        WindDoubt.Never, OrbitS, ["software", "upload", "patch"], [.. Gaps, FlagTopic.Clock, FlagTopic.Damage]);

    /// <summary>Safe mode and the way back.</summary>
    public static ActivityKind SafeMode { get; } = Kind("safe-mode", "Safe mode", "points the satellite at the Sun with the instrument off; everything thermal starts anew",
        WindDoubt.Always, 5 * OrbitS, ["safe mode", "safe hold"], [.. Thermal, .. Gaps, FlagTopic.Attitude, FlagTopic.Coverage, FlagTopic.LampSupply, FlagTopic.Lamp, FlagTopic.Visibility, FlagTopic.Detector]);

    /// <summary>Anything else.</summary>
    public static ActivityKind Other { get; } = Kind("other", "Other", "has effects that its kind does not tell",
        WindDoubt.Never, OrbitS, [], [.. Thermal, .. Gaps, FlagTopic.Lamp, FlagTopic.Visibility, FlagTopic.Detector, FlagTopic.Other]);

    // Words of the first that fits decide: a "lamp heater test" is a lamp test.
    private static readonly ActivityKind[] Usual = [LampTest, YawTurn, BakeOut, HeaterTest, SoftwareUpload, SafeMode, Manoeuvre, Other];

    /// <summary>The kinds of a mission whose profile says nothing of them.</summary>
    public static ActivityKinds Default { get; } = new([]);

    private readonly Dictionary<string, ActivityKind> byId;

    /// <summary>The usual kinds with others; one with the id of a usual kind takes its place.</summary>
    public ActivityKinds(IReadOnlyList<ActivityKind> own)
    {
        ArgumentNullException.ThrowIfNull(own);
        // The mission's own words come first; what has no kind comes last.
        All = [.. own.Where(k => Usual.All(u => u.Id != k.Id)), .. Usual.Select(u => own.FirstOrDefault(k => k.Id == u.Id) ?? u)];
        byId = All.ToDictionary(k => k.Id, StringComparer.Ordinal);
    }

    /// <summary>All kinds, in the order in which words are looked for.</summary>
    public IReadOnlyList<ActivityKind> All { get; }

    /// <summary>The kind of an id; null when there is none.</summary>
    public ActivityKind? Find(string id) => byId.GetValueOrDefault(id);

    /// <summary>The kind of an id that may have gone from the profile since: then what is said of it is what is said of other.</summary>
    public ActivityKind OrOther(string id) => Find(id) ?? byId[Other.Id] with { Id = id, Title = id };

    /// <summary>The first category that is known decides, then the title; else other. Case and hyphens do not matter.</summary>
    public ActivityKind Of(IEnumerable<string> categories, string? summary)
    {
        ArgumentNullException.ThrowIfNull(categories);
        foreach (var category in categories)
            if (Named(category) is { } kind) return kind;
        return Named(summary) ?? byId[Other.Id];
    }

    private ActivityKind? Named(string? text)
    {
        if (text is null) return null;
        var plain = text.Replace('-', ' ').Replace('_', ' ').Trim().ToLowerInvariant();
        // A category that is an id is that kind, whatever words it holds.
        return All.FirstOrDefault(k => k.Id.Replace('-', ' ') == plain)
            ?? All.FirstOrDefault(k => k.Id != Other.Id && k.Words.Append(k.Id.Replace('-', ' ')).Any(w => plain.Contains(w, StringComparison.Ordinal)));
    }

    private static ActivityKind Kind(string id, string title, string effect, WindDoubt winds, double settlingS, string[] words, params FlagTopic[] expects) =>
        new() { Id = id, Title = title, Effect = effect, Winds = winds, SettlingS = settlingS, Words = words, Expects = [.. expects.Distinct().Order()] };
}
