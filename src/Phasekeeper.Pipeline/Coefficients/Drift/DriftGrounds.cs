using System.Globalization;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Flags.Rules;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Drift;

/// <summary>Finds series that have drifted away from the coefficient set, and tells which of it is new.</summary>
internal static class DriftGrounds
{
    /// <summary>Orbits within which a chart must have been beyond its limits (chosen: a day).</summary>
    public const int RecentOrbits = 15;

    /// <summary>A drift about which a proposal was declined counts as new when it has grown to so many times what it was then (chosen: half as much again is no chance of a chart that was beyond its limits already).</summary>
    public const double GrownTo = 1.5;

    /// <summary>Series of standing drift flags whose charts are beyond their limits on the newest orbits, charted against the set that is in force; by tracker, view and line.</summary>
    public static IReadOnlyList<DriftGround> Now(Stores stores, int last, string set)
    {
        var kind = new DriftKind().Id;
        var signals = stores.Flags.OfOrbits(last - RecentOrbits + 1, last).Select(FlagJson.Read).Where(f => f.Stands && f.RuleKind == kind && f.Evidence.CoefficientSet == set && !f.ExplainedBy.Any(e => e.Whole))
            .SelectMany(f => f.Evidence.Signals).Where(s => s.LastOrbit > last - RecentOrbits && DriftTracker.All.ContainsKey(s.Series.Tracker));
        var grounds = new List<DriftGround>();
        foreach (var series in signals.GroupBy(s => s.Series))
        {
            if (stores.Trackers.Values(series.Key, last - RecentOrbits + 1, last).LastOrDefault(r => double.IsFinite(r.Ewma) && double.IsFinite(r.Expected)) is not { } row) continue;
            var departure = row.Ewma - row.Expected;
            grounds.Add(new(series.Key.Tracker, series.Key.View, series.Key.Line, TrackerCatalog.Find(series.Key.Tracker)!.Info.Unit, departure, departure / row.EwmaSigma, series.Min(s => s.FirstOrbit)));
        }
        return [.. grounds.OrderBy(g => g.Tracker, StringComparer.Ordinal).ThenBy(g => g.View, StringComparer.Ordinal).ThenBy(g => g.Line, StringComparer.Ordinal)];
    }

    /// <summary>Offsets that the zero-wind solution of the window before the newest orbits claims, on winds made with the set's own phases, and that are significant; by view and line.</summary>
    public static IReadOnlyList<DriftGround> ZeroWind(IEnumerable<ZeroWindEstimate> estimates, int last, double significantSigmas) =>
        [.. estimates.Where(e => e.Status == ZeroWindStatus.Claimed).SelectMany(e => e.Offsets.Where(o => Math.Abs(o.OffsetMs) >= significantSigmas * o.SigmaMs)
            .Select(o => new DriftGround(DriftTracker.ZeroWind, o.View, e.Line, "m/s", o.OffsetMs, o.OffsetMs / o.SigmaMs, last))).OrderBy(g => g.View, StringComparer.Ordinal).ThenBy(g => g.Line, StringComparer.Ordinal)];

    /// <summary>Those that no set answers which is approved from a later orbit on: it has other numbers behind them, and where the program proposed it, they have not grown markedly since.</summary>
    public static IReadOnlyList<DriftGround> Unanswered(IReadOnlyList<DriftGround> grounds, CoefficientSet inForce, IEnumerable<(CoefficientSet Set, FitDocument? Fit)> coming)
    {
        var open = grounds;
        foreach (var (set, fit) in coming)
        {
            var changed = CoefficientDifferences.Between(inForce, set);
            DriftGround[] answered = [.. open.Where(g => changed.Any(d => DriftTracker.All[g.Tracker].Numbers.Contains(d.Number) && (d.View is null || g.View is null || d.View == g.View) && (d.Line is null || g.Line is null || d.Line == g.Line)))];
            // A fit of the program says how large the drift was.
            var grown = fit is { Drift.Count: > 0 } ? New(answered, [fit]).Where(g => fit.Drift.Any(k => (k.Tracker, k.View, k.Line) == (g.Tracker, g.View, g.Line))).ToHashSet() : [];
            open = [.. open.Where(g => !answered.Contains(g) || grown.Contains(g))];
        }
        return open;
    }

    /// <summary>Those that no declined proposal of the program was about, or that have grown markedly since.</summary>
    public static IReadOnlyList<DriftGround> New(IReadOnlyList<DriftGround> grounds, IEnumerable<FitDocument> declined)
    {
        var known = declined.SelectMany(d => d.Drift).ToLookup(g => (g.Tracker, g.View, g.Line));
        return [.. grounds.Where(g => !known[(g.Tracker, g.View, g.Line)].Any(k => Math.Sign(k.Departure) == Math.Sign(g.Departure) && Math.Abs(g.Departure) < GrownTo * Math.Abs(k.Departure)))];
    }

    /// <summary>"Thermal slope F green by +0.021 rad/K (+31 σ of the running mean, beyond limits since orbit 512)".</summary>
    public static string Words(DriftGround g) => g.Tracker == DriftTracker.ZeroWind ? string.Create(CultureInfo.InvariantCulture,
        $"Zero wind {g.View} {g.Line} {g.Departure:+0.##;-0.##} m/s ({g.Sigmas:+0.#;-0.#} σ; an offset common to both views may be yaw: ask for the attitude first)") : string.Create(CultureInfo.InvariantCulture,
        $"{TrackerCatalog.Find(g.Tracker)?.Info.Title ?? g.Tracker}{(g.View is null ? "" : " " + g.View)}{(g.Line is null ? "" : " " + g.Line)} by {g.Departure:+0.####;-0.####}{(g.Unit == "1" ? "" : " " + g.Unit)} ({g.Sigmas:+0.#;-0.#} σ of the running mean, beyond limits since orbit {g.SinceOrbit})");
}
