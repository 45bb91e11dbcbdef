using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Today;

/// <summary>Reads the morning page from the stores.</summary>
public sealed class TodayQueries(Stores stores, SignOffDesk desk)
{
    /// <summary>Tracker that answers whether the thermal correction held.</summary>
    public const string ResidualTracker = "thermal-residual-wind";

    /// <summary>Tracker of the scene's visibility relative to its reference.</summary>
    public const string VisibilityTracker = "scene-visibility";

    /// <summary>Length of the stretch, hours.</summary>
    public const int Hours = 24;

    // Chosen: a week; older days are on the page of days.
    private const int DaysLookedBack = 7;
    private const int LargestNumberOfFlags = 1000;
    private const int LargestNumberOfWaiting = 100_000;

    /// <summary>The page for the 24 h before <paramref name="end"/> (null = mission time); null before the first packet.</summary>
    public TodayView? Read(MissionState mission, Instant? end)
    {
        if (stores.Archive.LastPacketTime is not { } newest) return null;
        var to = end ?? newest;
        var from = to.AddSeconds(-Hours * 3600.0);
        var rows = stores.Orbits.Touching(from, to);
        var trackers = rows.Count == 0 ? [] : stores.Trackers.OfOrbits(rows[0].Orbit, rows[^1].Orbit);
        var flags = stores.Flags.List(from, to, LargestNumberOfFlags).Items.Where(flag => flag.State != FlagWords.Withdrawn).ToList();
        var waiting = stores.Work.Peek(WorkKinds.Assess, LargestNumberOfWaiting).Where(item => item.Priority > WorkKinds.AfterWinds).Select(item => (int)item.Key).ToHashSet();
        var orbits = rows.Select(row => Cell(row, waiting.Contains(row.Orbit), row.End > newest, trackers, flags)).ToList();
        // The one that still runs comes on top of the days that can be signed off.
        var known = desk.Newest(mission, DaysLookedBack + 1);
        DayOutline[] days = [.. known.Take(DaysLookedBack)];
        return new TodayView(from, to, end is null || end >= newest, TodayAnswers.Of(orbits, flags), orbits,
            Readings(mission, to, trackers), Needs(mission, orbits, flags), InHand(mission, flags), OldProducts.Of(stores, rows.Select(row => row.Orbit)))
        {
            Explained = [.. new FlagQueries(stores).Grouped(mission, [.. flags.Where(flag => FlagWords.Waits(flag) && flag.ExplainedBy is not null && flag.Severity != "notice")]).Select(Need)],
            Activities = [.. mission.Activities.Where(a => a.To > to && a.From < to.AddSeconds(Hours * 3600.0))],
            Unsigned = known.FirstOrDefault(day => day is { IsOver: true, Signed: null }),
            Signed = days.FirstOrDefault(day => day.Signed is not null) is { } signed ? desk.Read(mission, signed.Date) : null,
            Changed = desk.ChangedSince(mission, days.Where(day => day.Signed is not null).Skip(1)),
            HeldOrbits = rows.Count == 0 ? new Dictionary<int, HoldKind>() : stores.Holds.Held(rows[0].Orbit, rows[^1].Orbit),
        };
    }

    private static TodayOrbit Cell(OrbitRow row, bool isDue, bool isRunning, IReadOnlyList<TrackerRow> trackers, List<FlagRow> flags)
    {
        var residual = Worst(trackers, row.Orbit, ResidualTracker, value => Math.Abs(value));
        var visibility = Worst(trackers, row.Orbit, VisibilityTracker, value => -value);
        var own = flags.Where(flag => Touches(flag, row)).ToList();
        return new TodayOrbit(row, row.VerdictReasons != OrbitVerdict.NotYet, isDue, isRunning, residual?.Value ?? double.NaN, residual?.State, visibility?.Value ?? double.NaN, visibility?.State,
            FlagWords.Worst(own.Where(flag => flag.ExplainedBy is null)), own.Count);
    }

    private static bool Touches(FlagRow flag, OrbitRow row) => flag.FirstOrbit is { } first && flag.LastOrbit is { } last
        ? first <= row.Orbit && last >= row.Orbit : flag.From < row.End && flag.To >= row.Start;

    private static TrackerRow? Worst(IReadOnlyList<TrackerRow> trackers, int orbit, string tracker, Func<double, double> badness) =>
        trackers.Where(row => row.Orbit == orbit && row.Key.Tracker == tracker && double.IsFinite(row.Value)).MaxBy(row => badness(row.Value));

    private List<TodayReading> Readings(MissionState mission, Instant to, IReadOnlyList<TrackerRow> trackers)
    {
        var readings = new List<TodayReading>();
        (string Name, string? Channel)[] roles =
        [
            ("Interferometer", mission.Profile.InterferometerTemperature), ("Optical bench", mission.Profile.BenchTemperature),
            ("Detector", mission.Profile.DetectorTemperature),
        ];
        foreach (var (name, channel) in roles)
            if (channel is not null && Temperature(name, channel, to) is { } reading) readings.Add(reading);
        foreach (var group in TodayReadings.Shown)
            if (TodayReadings.Newest(group, trackers) is { } reading) readings.Add(reading);
        return readings;
    }

    /// <summary>The newest sample, with the range of the last 24 h.</summary>
    private TodayReading? Temperature(string name, string channel, Instant to)
    {
        if (stores.Telemetry.LastBefore(channel, to.AddSeconds(1), to.AddSeconds(-Hours * 3600.0)) is not { } newest) return null;
        var day = stores.Telemetry.Decimated(channel, to.AddSeconds(-Hours * 3600.0), to, 100).Points;
        var range = day.Count == 0 ? "" : $"{NumberText.Fixed(day.Min(p => p.Min), 1)} … {NumberText.Fixed(day.Max(p => p.Max), 1)} °C in 24 h";
        return new TodayReading(name, NumberText.Fixed(newest.Value, 2) + " °C", range, null, $"/channels?c={Uri.EscapeDataString(channel)}");
    }

    private static TodayNeed Need(FlagGroupView group)
    {
        var flags = group.Lines.Select(line => line.Flag).ToList();
        // The likely first cause tells the story; how bad it is, the worst of them.
        var head = flags[0];
        return new TodayNeed(FlagWords.Worst(flags)!, head.Message, UtcText.Range(head.From, head.To) + " UTC", $"/flags/{Uri.EscapeDataString(head.Id)}",
            flags.Count - 1, flags.Count > 1 ? $"/flags/{Uri.EscapeDataString(head.Id)}#group-title" : "")
        { Flag = head, Holder = string.Join(", ", flags.Select(flag => flag.Holder).OfType<string>().Distinct()) is { Length: > 0 } holders ? holders : null };
    }

    // What people have taken and not yet settled.
    private List<TodayNeed> InHand(MissionState mission, List<FlagRow> flags) =>
        [.. new FlagQueries(stores).Grouped(mission, [.. flags.Where(flag => flag.State is FlagWords.Taken or FlagWords.Explained)]).Select(Need)];

    private List<TodayNeed> Needs(MissionState mission, IReadOnlyList<TodayOrbit> orbits, List<FlagRow> flags)
    {
        var open = flags.Where(flag => FlagWords.Waits(flag) && flag.ExplainedBy is null && flag.Severity != "notice").ToList();
        var needs = new FlagQueries(stores).Grouped(mission, open).OrderByDescending(group => group.Lines.Max(line => FlagWords.Rank(line.Flag.Severity))).ThenByDescending(group => group.Lines[0].Flag.From).Select(Need).ToList();
        needs.AddRange(orbits.Where(orbit => orbit is { IsAssessed: true, IsDue: false, Row: { Provisional: false, Verdict: "held" or "incomplete" } }).Select(orbit => orbit.Row).Reverse()
            .Select(row => new TodayNeed(row.Verdict, row.VerdictReasons.Length > 0 ? $"Orbit {row.Orbit}: {row.VerdictReasons}" : $"Orbit {row.Orbit} is {row.Verdict}.",
                UtcText.Range(row.Start, row.End) + " UTC", $"/orbit/{row.Orbit}")));
        var quarantined = stores.Quarantine.CountByKind().Values.Sum();
        if (quarantined > 0)
            needs.Add(new TodayNeed("waiting", $"{NumberText.Whole(quarantined)} {(quarantined == 1 ? "piece waits" : "pieces wait")} in quarantine.", "", "/data?tab=quarantine"));
        return needs;
    }
}
