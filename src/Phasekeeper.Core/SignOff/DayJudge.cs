using System.Globalization;
using Phasekeeper.Core.Flags;

namespace Phasekeeper.Core.SignOff;

/// <summary>Proposes a day's verdict from its facts: completeness, residuals, flags, error budget. Pure: equal facts give equal proposals, in whatever order they are listed.</summary>
public static class DayJudge
{
    private const int MostOrbitsNamed = 6;

    /// <summary>The proposal.</summary>
    public static DayProposal Of(DayFacts facts)
    {
        ArgumentNullException.ThrowIfNull(facts);
        var (reasons, notes) = (new List<DayReason>(), new List<string>());
        Completeness(facts, reasons, notes);
        Residuals(facts, reasons, notes);
        Flags(facts, reasons, notes);
        foreach (var winds in facts.Winds.OrderBy(w => w.Line, StringComparer.Ordinal)) Winds(winds, facts.Usual.FirstOrDefault(u => u.Line == winds.Line), reasons, notes);
        Processing(facts, reasons);
        DayReason[] sorted = [.. reasons.OrderByDescending(r => r.Asks).ThenBy(r => r.Code, StringComparer.Ordinal)];
        return new(sorted.Length == 0 ? DayVerdict.Usable : sorted[0].Asks, sorted, notes);
    }

    private static void Completeness(DayFacts facts, List<DayReason> reasons, List<string> notes)
    {
        var expected = facts.Orbits.Sum(o => (double)Expected(o));
        var received = facts.Orbits.Sum(o => (double)Math.Min(Received(o), Expected(o)));
        // An orbit of which nothing arrived was to bring as much as the others.
        if (facts.Absent.Count > 0)
        {
            reasons.Add(new("absent-orbits", DayVerdict.Remarks, $"Nothing arrived of {Orbits(facts.Absent)}.", facts.Absent.Count, 0));
            if (facts.Orbits.Count > 0) expected += facts.Absent.Count * expected / facts.Orbits.Count;
        }
        if (facts.Orbits.Count == 0) reasons.Add(new("no-data", DayVerdict.Held, "No data of this day have arrived.", 0, null));
        else if (expected > 0)
        {
            var share = received / expected;
            var text = Invariant($"{Percent(share)} of what the cadence promises has arrived");
            if (share < SignOffLimits.LeastShare) reasons.Add(new("completeness", DayVerdict.Held, Invariant($"Only {text}; with less than {SignOffLimits.LeastShare * 100:0} % the day is proposed to be held."), share, SignOffLimits.LeastShare));
            else if (share < SignOffLimits.CompleteShare) reasons.Add(new("completeness", DayVerdict.Remarks, Invariant($"{text}; {SignOffLimits.CompleteShare * 100:0} % is called complete."), share, SignOffLimits.CompleteShare));
            else notes.Add(text + $", {facts.Orbits.Count} orbits.");
        }
        else notes.Add($"{facts.Orbits.Count} orbits; no cadence promises a number of exposures.");
        if (facts.Orbits.MaxBy(o => o.LongestGapS) is { } longest && longest.LongestGapS >= SignOffLimits.LongestGapS)
            reasons.Add(new("gap", DayVerdict.Remarks, Invariant($"Longest gap without packets: {longest.LongestGapS / 60:0} min, at orbit {longest.Orbit}."), longest.LongestGapS, SignOffLimits.LongestGapS, "s"));
    }

    private static void Residuals(DayFacts facts, List<DayReason> reasons, List<string> notes)
    {
        foreach (var r in facts.Residuals.Where(r => r.Orbits > 0).OrderBy(r => r.Tracker, StringComparer.Ordinal))
        {
            var worst = Invariant($"{r.Title}: worst {FlagText.Number(r.Worst)} {r.Unit} at orbit {r.WorstOrbit}");
            var share = r.CriticalOrbits / (double)r.Orbits;
            if (r.CriticalOrbits > 0 && share >= SignOffLimits.CriticalOrbitShare)
                reasons.Add(new("residual:" + r.Tracker, DayVerdict.Held, Invariant($"{worst}; critical on {r.CriticalOrbits} of {r.Orbits} orbits."), share, SignOffLimits.CriticalOrbitShare));
            else if (r.CriticalOrbits + r.WarningOrbits > 0)
                reasons.Add(new("residual:" + r.Tracker, DayVerdict.Remarks, Invariant($"{worst}; outside its limits on {r.CriticalOrbits + r.WarningOrbits} of {r.Orbits} orbits."), r.CriticalOrbits + r.WarningOrbits, 0));
            else notes.Add(worst + Invariant($", within limits on all {r.Orbits} orbits."));
        }
    }

    private static void Flags(DayFacts facts, List<DayReason> reasons, List<string> notes)
    {
        DayFlag[] flags = [.. facts.Flags.OrderByDescending(f => f.Severity).ThenBy(f => f.Id, StringComparer.Ordinal)];
        DayFlag[] critical = [.. flags.Where(f => f.Severity == FlagSeverity.Critical)], open = [.. critical.Where(f => f.IsOpen)];
        if (open.Length > 0) reasons.Add(new("flags-critical", DayVerdict.Held, $"{Count(open.Length, "critical flag")} neither explained nor settled: {open[0].Message}{More(open)}", open.Length, 0));
        if (critical.Length > open.Length)
            reasons.Add(new("flags-critical-known", DayVerdict.Remarks, $"{Count(critical.Length - open.Length, "critical flag")} explained or settled: {critical.First(f => !f.IsOpen).Message}", critical.Length - open.Length, 0));
        DayFlag[] warnings = [.. flags.Where(f => f.Severity == FlagSeverity.Warning && f.IsOpen)];
        if (warnings.Length > 0) reasons.Add(new("flags-warning", DayVerdict.Remarks, $"{Count(warnings.Length, "warning")} neither explained nor settled: {warnings[0].Message}{More(warnings)}", warnings.Length, 0));
        var rest = flags.Length - critical.Length - warnings.Length;
        notes.Add(flags.Length == 0 ? "No flag stands on the day." : rest > 0 ? $"{Count(rest, "other flag")}: notices, and warnings that are explained or settled." : "No other flag.");

        static string More(DayFlag[] all) => all.Length == 1 ? "" : $" … and {all.Length - 1} more.";
    }

    private static void Winds(LineWinds winds, UsualWinds? usual, List<DayReason> reasons, List<string> notes)
    {
        var own = winds.Values == 0 ? $"{winds.Line}: no winds" : Invariant($"{winds.Line}: {Percent(winds.GoodShare)} of {winds.Values} winds good, median 1σ {Sigma(winds.SigmaMs)}");
        if (usual is null || usual.Days < SignOffLimits.LeastUsualDays)
        {
            if (winds.Values == 0) reasons.Add(new("no-winds:" + winds.Line, DayVerdict.Remarks, $"{own} are stored of this day.", 0, null));
            else notes.Add(Invariant($"{own}; with {usual?.Days ?? 0} days of winds before it nothing is called usual yet ({SignOffLimits.LeastUsualDays} are asked for)."));
            return;
        }
        if (winds.Values == 0)
        {
            reasons.Add(new("no-winds:" + winds.Line, DayVerdict.Held, Invariant($"{own} are stored of this day; the {usual.Days} days before had them."), 0, null));
            return;
        }
        var (loss, factor) = (usual.GoodShare - winds.GoodShare, winds.SigmaMs / usual.SigmaMs);
        var than = Invariant($"{own}; usual are {Percent(usual.GoodShare)} and {Sigma(usual.SigmaMs)} ({usual.Days} days)");
        if (loss > SignOffLimits.GoodShareRemarks)
            reasons.Add(new("good-share:" + winds.Line, loss > SignOffLimits.GoodShareHeld ? DayVerdict.Held : DayVerdict.Remarks, $"Fewer good winds than usual. {than}.", winds.GoodShare, usual.GoodShare - (loss > SignOffLimits.GoodShareHeld ? SignOffLimits.GoodShareHeld : SignOffLimits.GoodShareRemarks)));
        if (factor > SignOffLimits.SigmaRemarks)
            reasons.Add(new("sigma:" + winds.Line, factor > SignOffLimits.SigmaHeld ? DayVerdict.Held : DayVerdict.Remarks, $"Less certain than usual. {than}.", winds.SigmaMs, usual.SigmaMs * (factor > SignOffLimits.SigmaHeld ? SignOffLimits.SigmaHeld : SignOffLimits.SigmaRemarks), "m/s"));
        if (!(loss > SignOffLimits.GoodShareRemarks) && !(factor > SignOffLimits.SigmaRemarks)) notes.Add(than + ".");
    }

    private static void Processing(DayFacts facts, List<DayReason> reasons)
    {
        if (facts.Waiting.Count > 0) reasons.Add(new("processing", DayVerdict.Held, $"Processing is not finished for {Orbits(facts.Waiting)}: numbers may be old or lacking. Wait for it.", facts.Waiting.Count, 0));
        if (facts.Former.Count > 0) reasons.Add(new("former-set", DayVerdict.Remarks, $"{Orbits(facts.Former)} wait to be made again with the coefficient set in force.", facts.Former.Count, 0));
        int[] provisional = [.. facts.Orbits.Where(o => o.Provisional).Select(o => o.Orbit).Order()], held = [.. facts.Orbits.Where(o => o.Held).Select(o => o.Orbit).Order()];
        if (provisional.Length > 0) reasons.Add(new(ProvisionalCode, DayVerdict.Remarks, $"Provisional until the orbits beside them are complete: {Orbits(provisional)}.", provisional.Length, 0));
        if (held.Length > 0) reasons.Add(new("orbits-held", DayVerdict.Remarks, $"Held by a person: {Orbits(held)}.", held.Length, 0));
    }

    /// <summary>Code of the reason that goes by itself as data come in.</summary>
    public const string ProvisionalCode = "provisional";

    private static int Expected(DayOrbit o) => o.ExpectedRows > 0 ? o.ExpectedRows : o.ExpectedExposures;

    private static int Received(DayOrbit o) => o.ExpectedRows > 0 ? o.ReceivedRows : o.ReceivedExposures;

    /// <summary>"orbit 7", "orbits 7, 8 and 3 more".</summary>
    internal static string Orbits(IReadOnlyList<int> orbits)
    {
        int[] sorted = [.. orbits.Order()];
        return (sorted.Length == 1 ? "orbit " : "orbits ") + string.Join(", ", sorted.Take(MostOrbitsNamed).Select(o => o.ToString(CultureInfo.InvariantCulture)))
            + (sorted.Length > MostOrbitsNamed ? Invariant($" and {sorted.Length - MostOrbitsNamed} more") : "");
    }

    private static string Count(int n, string what) => Invariant($"{n} {what}{(n == 1 ? "" : "s")}");

    // Rounded down: 100 % only when everything is there.
    private static string Percent(double share) => Invariant($"{Math.Floor(share * 1000 + 1e-9) / 10:0.#} %");

    private static string Sigma(double ms) => double.IsFinite(ms) ? Invariant($"{ms:0.0} m/s") : "not known";

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);
}
