namespace Phasekeeper.Core.SignOff;

/// <summary>One thing that is other than it was.</summary>
/// <param name="Kind">data, flag, coefficients, winds, hold, proposal or sign-off.</param>
/// <param name="Text">One sentence with numbers.</param>
public sealed record DayChange(string Kind, string Text);

/// <summary>What changed on a day between two grounds: between its sign-off and now, or between what a person saw and what is there.</summary>
public static class DayChanges
{
    private const int FingerprintBytes = 8;

    /// <summary>The changes; none when both have the same key.</summary>
    public static IReadOnlyList<DayChange> Between(DayGround before, DayGround after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        var changes = new List<DayChange>();
        var pairs = Pairs(before, after);
        Data(pairs, changes);
        Flags(before, after, changes);
        Coefficients(pairs, changes);
        Winds(pairs, changes);
        Holds(pairs, changes);
        if (before.Proposed != after.Proposed || !before.Reasons.SequenceEqual(after.Reasons))
        {
            string[] more = [.. after.Reasons.Except(before.Reasons)], fewer = [.. before.Reasons.Except(after.Reasons)];
            changes.Add(new("proposal", (before.Proposed == after.Proposed ? $"The system still proposes {after.Proposed}" : $"The system now proposes {after.Proposed} (before: {before.Proposed})")
                + (more.Length > 0 ? $"; new reasons: {string.Join(", ", more)}" : "") + (fewer.Length > 0 ? $"; no longer: {string.Join(", ", fewer)}" : "") + "."));
        }
        return changes;
    }

    private static (int Orbit, GroundOrbit? Before, GroundOrbit? After)[] Pairs(DayGround before, DayGround after)
    {
        var (was, now) = (before.Orbits.ToDictionary(o => o.Orbit), after.Orbits.ToDictionary(o => o.Orbit));
        return [.. was.Keys.Union(now.Keys).Order().Select(n => (n, was.GetValueOrDefault(n), now.GetValueOrDefault(n)))];
    }

    private static void Data((int Orbit, GroundOrbit? Before, GroundOrbit? After)[] pairs, List<DayChange> changes)
    {
        var moved = pairs.Where(p => (p.Before?.ReceivedRows, p.Before?.ReceivedExposures) != (p.After?.ReceivedRows, p.After?.ReceivedExposures)).ToArray();
        if (moved.Length == 0) return;
        var (exposures, rows) = (moved.Sum(p => (p.After?.ReceivedExposures ?? 0) - (p.Before?.ReceivedExposures ?? 0)), moved.Sum(p => (p.After?.ReceivedRows ?? 0) - (p.Before?.ReceivedRows ?? 0)));
        changes.Add(new("data", FormattableString.Invariant($"Data arrived late or went: {Signed(exposures)} exposures, {Signed(rows)} rows of {DayJudge.Orbits([.. moved.Select(p => p.Orbit)])}.")));
    }

    private static void Flags(DayGround before, DayGround after, List<DayChange> changes)
    {
        var (was, now) = (before.Flags.ToDictionary(f => f.Id), after.Flags.ToDictionary(f => f.Id));
        foreach (var id in was.Keys.Union(now.Keys).Order(StringComparer.Ordinal))
            switch (was.GetValueOrDefault(id), now.GetValueOrDefault(id))
            {
                case (null, { } raised):
                    changes.Add(new("flag", $"Flag raised ({raised.Severity}): {raised.Message}"));
                    break;
                case ({ } gone, null):
                    changes.Add(new("flag", $"Flag withdrawn, or no longer on these orbits ({gone.Severity}): {gone.Message}"));
                    break;
                case ({ } old, { } flag):
                    if (old.State != flag.State) changes.Add(new("flag", $"Flag {(flag.State == OpenState ? "reopened" : flag.State)} ({flag.Severity}): {flag.Message}"));
                    if (old.Severity != flag.Severity) changes.Add(new("flag", $"Flag now {flag.Severity} (before: {old.Severity}): {flag.Message}"));
                    break;
            }
    }

    /// <summary>State of a flag that is neither explained nor settled.</summary>
    public const string OpenState = "open";

    private static void Coefficients((int Orbit, GroundOrbit? Before, GroundOrbit? After)[] pairs, List<DayChange> changes)
    {
        foreach (var group in pairs.Where(p => p is { Before: not null, After: not null } && p.Before.CoefficientSet != p.After.CoefficientSet).GroupBy(p => (p.Before!.CoefficientSet, p.After!.CoefficientSet)))
            changes.Add(new("coefficients", FormattableString.Invariant($"Coefficient set {group.Key.Item2?.ToString() ?? "none"} instead of {group.Key.Item1?.ToString() ?? "none"}: {DayJudge.Orbits([.. group.Select(p => p.Orbit)])}.")));
    }

    // A profile is told by its fingerprint: what is there now and was not before was made again, or made first.
    private static void Winds((int Orbit, GroundOrbit? Before, GroundOrbit? After)[] pairs, List<DayChange> changes)
    {
        long values = 0, of = 0, gone = 0;
        var orbits = new List<int>();
        foreach (var (orbit, before, after) in pairs)
        {
            var (was, now) = (Fingerprints(before), Fingerprints(after));
            of += after?.WindValues ?? 0;
            var (fresh, lost) = (now.Count(f => !was.Contains(f)), was.Count(f => !now.Contains(f)));
            if (fresh == 0 && lost == 0) continue;
            orbits.Add(orbit);
            if (now.Count > 0) values += (long)after!.WindValues * fresh / now.Count;
            gone += Math.Max(0, was.Count - now.Count);
        }
        if (orbits.Count == 0) return;
        changes.Add(new("winds", FormattableString.Invariant($"Winds made again: {values} of {of} values changed ({DayJudge.Orbits(orbits)}){(gone > 0 ? FormattableString.Invariant($"; {gone} profiles fewer") : "")}.")));
    }

    private static HashSet<ulong> Fingerprints(GroundOrbit? orbit)
    {
        var set = new HashSet<ulong>();
        for (var at = 0; orbit is not null && at + FingerprintBytes <= orbit.Winds.Length; at += FingerprintBytes) set.Add(BitConverter.ToUInt64(orbit.Winds, at));
        return set;
    }

    private static void Holds((int Orbit, GroundOrbit? Before, GroundOrbit? After)[] pairs, List<DayChange> changes)
    {
        int[] held = [.. pairs.Where(p => p.After is { Held: true } && p.Before is not { Held: true }).Select(p => p.Orbit)], released = [.. pairs.Where(p => p.Before is { Held: true } && p.After is not { Held: true }).Select(p => p.Orbit)];
        if (held.Length > 0) changes.Add(new("hold", $"Held by a person: {DayJudge.Orbits(held)}."));
        if (released.Length > 0) changes.Add(new("hold", $"No longer held: {DayJudge.Orbits(released)}."));
    }

    private static string Signed(int n) => n < 0 ? FormattableString.Invariant($"−{-n}") : FormattableString.Invariant($"+{n}");
}
