using Phasekeeper.Core.Flags;

namespace Phasekeeper.Core.Activities;

/// <summary>Which flags an activity of a kind is expected to cause, and for how long after its end. Chosen from what each does to the instrument.</summary>
/// <param name="RuleKinds">Kinds of rules whose flags it explains.</param>
/// <param name="LeadS">Preparations may begin this long before its stated start, s.</param>
/// <param name="SettlingS">The instrument needs this long after its end to settle, s.</param>
/// <param name="Effect">What it does, in words.</param>
public sealed record ActivityEffects(IReadOnlyList<string> RuleKinds, double LeadS, double SettlingS, string Effect)
{
    private const double OrbitS = 5760;

    private static readonly string[] Thermal =
        ["channel-limit", "channel-rate", "profile-change", "thermal-residual", "phase-residual", "drift", "image-shift-step", "tracker-limit"];

    private static readonly string[] Gaps = ["data-gap", "late-data", "incomplete-orbit", "lamp-missing"];

    /// <summary>Effects of a kind.</summary>
    public static ActivityEffects Of(ActivityKind kind) => kind switch
    {
        ActivityKind.Manoeuvre => new([.. Thermal, .. Gaps, "coverage-missing"], 600, 2 * OrbitS,
            "moves the satellite and its attitude; scenes may pause, the Sun falls on other sides, and the orbit file before it no longer holds"),
        ActivityKind.LampTest => new(["lamp-loss", "lamp-missing", "visibility-loss", "incomplete-orbit", "thermal-residual", "channel-limit", "profile-change", "drift", "tracker-limit"],
            600, OrbitS, "runs the lamp outside its routine, so its brightness, its number of exposures and its warmth differ"),
        ActivityKind.YawTurn => new([.. Thermal, .. Gaps], 600, 3 * OrbitS, "turns other sides to the Sun; temperatures and their swing change for some orbits"),
        ActivityKind.BakeOut => new([.. Thermal, .. Gaps, "visibility-loss", "lamp-loss", "dark-growth", "hot-sample-growth", "spike-storm"], 600, 15 * OrbitS,
            "warms detector and optics; dark current, temperatures and phases are far from normal until a day after"),
        ActivityKind.Other => new([.. Thermal, .. Gaps, "visibility-loss", "lamp-loss", "dark-growth", "hot-sample-growth"], 600, OrbitS,
            "has effects that its kind does not tell"),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown kind of activity."),
    };

    /// <summary>True when a flag of this kind of rule is expected.</summary>
    public bool Explains(Flag flag) => RuleKinds.Contains(flag.RuleKind, StringComparer.Ordinal);
}
