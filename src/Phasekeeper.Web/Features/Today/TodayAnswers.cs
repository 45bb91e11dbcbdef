using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Today;

/// <summary>Answers the morning's three questions from the cells and flags of the stretch.</summary>
public static class TodayAnswers
{
    /// <summary>The three answers, in the order of the questions.</summary>
    public static IReadOnlyList<TodayAnswer> Of(IReadOnlyList<TodayOrbit> orbits, IReadOnlyList<FlagRow> flags) =>
        [Arrived(orbits), Healthy(flags, orbits.Count(orbit => orbit.IsDue)), Held(orbits, [.. flags.Where(flag => flag.Subject == TodayQueries.ResidualTracker)])];

    private static TodayAnswer Arrived(IReadOnlyList<TodayOrbit> orbits)
    {
        const string question = "Did every orbit arrive?";
        if (orbits.Count == 0) return new(question, "incomplete", "No orbit yet", "No orbit of these 24 h is known.", "/data");
        // Numbers run through: one that is lacking between two others is an orbit of which nothing arrived.
        var absent = orbits[^1].Row.Orbit - orbits[0].Row.Orbit + 1 - orbits.Count;
        var total = orbits.Count + absent;
        var lacking = orbits.Where(orbit => orbit.IsIncomplete).ToList();
        var little = orbits.Where(orbit => orbit.LacksLittle).ToList();
        var waiting = orbits.Count(orbit => orbit.IsDue);
        var rest = (absent > 0 ? $" Nothing at all of {absent}." : "") + (little.Count > 0 ? $" Single rows missing of {OrbitList(little)}." : "") + (waiting > 0 ? $" {waiting} being assessed." : "");
        return lacking.Count + absent == 0
            ? new(question, waiting > 0 ? "provisional" : little.Count > 0 ? "remarks" : "usable", $"{total} of {total} orbits", little.Count > 0 ? rest.Trim() : "Nothing expected is missing." + rest, "/data")
            : new(question, "incomplete", $"{total - lacking.Count - absent} of {total} orbits", (lacking.Count > 0 ? $"Incomplete: {OrbitList(lacking)}." : "") + rest, "/data");
    }

    private static TodayAnswer Healthy(IReadOnlyList<FlagRow> flags, int waiting)
    {
        const string question = "Is the instrument healthy?";
        var unexplained = flags.Where(flag => flag.ExplainedBy is null).ToList();
        var explained = flags.Count - unexplained.Count;
        var open = unexplained.Where(flag => flag.State != FlagWords.Settled).ToList();
        var settled = unexplained.Count - open.Count;
        var note = (explained > 0 ? $" {explained} more explained by planned activities." : "") + (settled > 0 ? $" {settled} more settled." : "");
        if (waiting > 0) note += $" Rules have yet to look at {waiting} {(waiting == 1 ? "orbit" : "orbits")}.";
        if (FlagWords.Worst(open) is null && settled > 0 && waiting == 0) return new(question, "remarks", "No open flag", note.Trim(), "/flags");
        if (FlagWords.Worst(open) is not { } worst)
            return waiting > 0 ? new(question, "provisional", "No flag so far", note.Trim(), "/flags") : new(question, "normal", "No flag", "No rule has spoken." + note, "/flags");
        var counts = string.Join(", ", open.GroupBy(flag => flag.Severity).OrderByDescending(group => FlagWords.Rank(group.Key))
            .Select(group => group.Key == "critical" || group.Count() == 1 ? $"{group.Count()} {group.Key}" : $"{group.Count()} {group.Key}s"));
        var taken = open.Count(flag => flag.State is FlagWords.Taken or FlagWords.Explained);
        return new(question, worst, counts, (taken > 0 ? $"{taken} in hand." : "None taken yet.") + note, "/flags");
    }

    private static TodayAnswer Held(IReadOnlyList<TodayOrbit> orbits, IReadOnlyList<FlagRow> flags)
    {
        const string question = "Did the thermal correction hold?";
        var known = orbits.Where(orbit => double.IsFinite(orbit.ResidualMs)).ToList();
        if (known.Count == 0) return new(question, "provisional", "Not known yet", "No orbit has enough lamp exposures.", "/drift");
        var worst = known.MaxBy(orbit => Math.Abs(orbit.ResidualMs))!;
        var sorted = known.Select(orbit => Math.Abs(orbit.ResidualMs)).Order().ToList();
        // A value may still be provisional while the rules have spoken about it.
        var state = FlagWords.Worst(flags) is { } flagged && FlagWords.Rank(flagged) > 0 ? flagged
            : known.Any(orbit => orbit.ResidualState == "critical") ? "critical"
            : known.Any(orbit => orbit.ResidualState == "warning") ? "warning"
            : known.All(orbit => orbit.ResidualState == "provisional") ? "provisional" : "normal";
        return new(question, state, $"{NumberText.Fixed(sorted[sorted.Count / 2], 1)} m/s typical",
            $"Worst {NumberText.Fixed(Math.Abs(worst.ResidualMs), 1)} m/s on orbit {worst.Row.Orbit}."
            + (flags.Count == 0 ? "" : flags.Count == 1 ? " 1 flag." : $" {flags.Count} flags, one a view and line."), "/drift");
    }

    private static string OrbitList(IReadOnlyList<TodayOrbit> orbits) =>
        string.Join(", ", orbits.Take(6).Select(orbit => orbit.Row.Orbit)) + (orbits.Count > 6 ? $" and {orbits.Count - 6} more" : "");
}
