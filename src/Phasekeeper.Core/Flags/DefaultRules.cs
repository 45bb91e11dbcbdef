using Phasekeeper.Core.Flags.Design;
using Phasekeeper.Core.Flags.Rules;

namespace Phasekeeper.Core.Flags;

/// <summary>
/// The rules of a mission that declares none. Limits are chosen so that a healthy instrument raises at most two flags a month in all and
/// no critical one (450 orbits a month, all series together): <see cref="FalseAlarms"/> shows the sum, a simulation holds it.
/// </summary>
public static class DefaultRules
{
    /// <summary>Trackers whose charts are watched: those that move with the instrument, not with the air.</summary>
    public static IReadOnlyList<string> ChartedTrackers { get; } =
        ["thermal-slope", "thermal-lag", "lamp-offset", "view-difference", "image-shift-mean", "image-shift-slope", "fringe-frequency", "scene-visibility", "lamp-visibility", "lamp-brightness", "dark-rate"];

    /// <summary>The set.</summary>
    /// <param name="temperatureChannels">Channels of the mission's role temperatures, whose rate of change is watched; empty = no such rule.</param>
    public static RuleSet For(IReadOnlyList<string> temperatureChannels) => new("defaults",
    [
        Declare("thermal-residual"),
        Declare("phase-residual"),
        Declare("visibility-loss"),
        Declare("lamp-loss"),
        Declare("lamp-missing"),
        Declare("image-shift-step"),
        Declare("dark-growth"),
        Declare("hot-sample-growth"),
        Declare("spike-storm"),
        // A drift is not over because an orbit brought no value (darks are taken every other orbit, a downlink is lost): one flag goes on through a day of such orbits.
        RuleCatalog.Of("drift").Declare("drift", (RuleKind.QuietOrbits.Name, 15)) with { Trackers = ChartedTrackers },
        Declare("channel-limit"),
        .. temperatureChannels.Count == 0 ? (RuleDeclaration[])[] : [Declare("channel-rate") with { Id = "temperature-rate", Channels = temperatureChannels }],
        Declare("profile-change"),
        Declare("incomplete-orbit"),
        Declare("data-gap"),
        Declare("late-data"),
        Declare("clock-jump"),
        Declare("undecodable-data"),
        Declare("data-conflict"),
        Declare("coverage-missing"),
        Declare("stale-coefficients"),
        Declare(ActivityOverrunKind.KindId),
    ]);

    /// <summary>Expected false flags of every enabled rule of a set, in its order.</summary>
    public static IReadOnlyList<FalseAlarmEstimate> FalseAlarms(RuleSet set, DesignContext context) =>
        [.. set.Enabled.Select(rule => RuleCatalog.Of(rule.Kind).ExpectedFalseFlags(rule, context))];

    private static RuleDeclaration Declare(string kind) => RuleCatalog.Of(kind).Declare(kind);
}
