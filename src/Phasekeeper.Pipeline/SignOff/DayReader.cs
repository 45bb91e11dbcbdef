using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.SignOff;

/// <summary>Reads a day's facts and ground from the stores. No clock: a day is over by mission time.</summary>
public sealed class DayReader(Stores stores)
{
    // Residuals that say whether the corrections held.
    private static readonly string[] ResidualTrackers = ["thermal-residual-wind", "scene-phase-residual"];
    private static readonly string[] OrbitWork = [WorkKinds.Orbit, WorkKinds.OrbitAgain, WorkKinds.Winds, WorkKinds.Vectors, WorkKinds.Assess], HourWork = [WorkKinds.Decode, WorkKinds.Retrieve];

    /// <summary>A day in short; null when no orbit of it has begun, or data begin later.</summary>
    public DayOutline? Outline(MissionState mission, DateOnly date) => Outline(mission, date, MissionTime);

    private DayOutline? Outline(MissionState mission, DateOnly date, Instant now)
    {
        var all = All(mission, date);
        return SlotsOf(all, now) is { Count: > 0 } slots ? OutlineOf(date, slots, all, now) : null;
    }

    /// <summary>The days with orbits, from the newest to the first, at most so many.</summary>
    public IReadOnlyList<DayOutline> Newest(MissionState mission, int most)
    {
        var days = new List<DayOutline>();
        if (stores.Archive.LastPacketTime is not { } newest || stores.Orbits.First is not { } first || mission.Orbits.Of(first) is not { } start) return days;
        for (var date = newest.UtcDate; date >= start.Start.UtcDate && days.Count < most; date = date.AddDays(-1))
            if (Outline(mission, date, newest) is { } day) days.Add(day);
        return days;
    }

    /// <summary>The day's sheet; null when no orbit of it has begun, or data begin later.</summary>
    public DaySheet? Read(MissionState mission, DateOnly date)
    {
        ArgumentNullException.ThrowIfNull(mission);
        // One moment for the whole sheet, whatever arrives while it is read.
        var (now, all) = (MissionTime, All(mission, date));
        if (SlotsOf(all, now) is not { Count: > 0 } slots) return null;
        var outline = OutlineOf(date, slots, all, now);
        var (first, last) = (slots[0].Number, slots[^1].Number);
        var numbers = slots.Select(s => s.Number).ToHashSet();
        OrbitRow[] rows = [.. stores.Orbits.Rows(first, last).Where(r => numbers.Contains(r.Orbit))];
        FlagRow[] flags = [.. stores.Flags.OfOrbits(first, last).Where(f => f.State != "withdrawn").OrderBy(f => f.Id, StringComparer.Ordinal)];
        var figures = stores.WindFigures.Read(first, last).Where(f => numbers.Contains(f.Orbit)).ToArray();
        var holds = stores.Holds.Held(first, last);
        var held = holds.Where(h => h.Value.HasFlag(HoldKind.Orbit)).Select(h => h.Key).ToHashSet();
        // What is held singly is judged already, and says nothing of the rest.
        var judged = numbers.Except(held).ToHashSet();
        var facts = new DayFacts(
            date, [.. rows.Select(r => OrbitOf(r, held))], [.. slots.Where(s => s.End <= now && !rows.Any(r => r.Orbit == s.Number)).Select(s => s.Number)], Residuals(first, last, judged),
            [.. flags.Select(FlagOf)], Winds(mission, figures.Where(f => judged.Contains(f.Orbit)).Select(f => f.Winds)), Usual(mission, date), Waiting(slots, rows, figures.Select(f => f.Orbit).ToHashSet()),
            [.. stores.Reprocessing.Orbits().Select(o => (int)o.Orbit).Where(numbers.Contains)]);
        var proposal = DayJudge.Of(facts);
        var ground = new DayGround(
            [.. rows.Select(r => GroundOf(r, held, figures.Where(f => f.Orbit == r.Orbit).Sum(f => f.Winds.Values)))], [.. facts.Flags.Select(GroundOf)], proposal.Verdict.Word(),
            [.. proposal.Reasons.Select(r => r.Code).Where(c => c != DayJudge.ProvisionalCode)], outline.Signed?.Revision ?? 0);
        return new()
        {
            Day = outline,
            Facts = facts,
            Proposal = proposal,
            Ground = ground,
            Key = ground.Key(),
            Since = outline.Signed is { } signed ? DayChanges.Between(stores.SignOffs.Ground(signed.Id), ground) : [],
            Orbits = rows,
            Flags = flags,
            Held = holds,
        };
    }

    private Instant MissionTime => stores.Archive.LastPacketTime ?? Instant.MinValue;

    // Orbits that begin on the day, whether mission time has reached them or not.
    private static List<OrbitSlot> All(MissionState mission, DateOnly date)
    {
        var (from, to) = (Instant.StartOf(date), Instant.StartOf(date.AddDays(1)));
        return [.. mission.Orbits.In(from, to).Where(o => o.Start >= from)];
    }

    private List<OrbitSlot> SlotsOf(List<OrbitSlot> all, Instant now) => stores.Orbits.First is { } first ? [.. all.Where(o => o.Number >= first && o.Start <= now)] : [];

    private DayOutline OutlineOf(DateOnly date, List<OrbitSlot> slots, List<OrbitSlot> all, Instant now) =>
        new(date, slots.Count, all[^1].End, now >= all[^1].End, stores.SignOffs.Newest(DayNumber(date)));

    /// <summary>Days since 1970-01-01.</summary>
    public static long DayNumber(DateOnly date) => Instant.StartOf(date).ToUnixDay().UnixDay;

    private static DayOrbit OrbitOf(OrbitRow r, HashSet<int> held) =>
        new(r.Orbit, r.ExpectedExposures, r.ReceivedExposures, r.ExpectedRows, r.ReceivedRows, OrbitFacts.Of(r).LongestGapS, r.Provisional, held.Contains(r.Orbit));

    private DayResidual[] Residuals(int first, int last, HashSet<int> numbers)
    {
        var values = stores.Trackers.OfTrackers(ResidualTrackers, first, last).Where(v => numbers.Contains(v.Orbit) && double.IsFinite(v.Value)).ToLookup(v => v.Key.Tracker);
        return [.. ResidualTrackers.Where(values.Contains).Select(id =>
        {
            var worst = values[id].OrderByDescending(v => Math.Abs(v.Value)).ThenBy(v => v.Orbit).First();
            var states = values[id].GroupBy(v => v.Orbit).Select(o => o.Any(v => v.State == "critical") ? "critical" : o.Any(v => v.State == "warning") ? "warning" : "").ToArray();
            var info = TrackerCatalog.Find(id)!.Info;
            return new DayResidual(id, info.Title, info.Unit, worst.Value, worst.Orbit, states.Length, states.Count(s => s == "warning"), states.Count(s => s == "critical"));
        })];
    }

    private static DayFlag FlagOf(FlagRow f) =>
        new(f.Id, Enum.Parse<FlagSeverity>(f.Severity, ignoreCase: true), Enum.Parse<LifeState>(f.State, ignoreCase: true), f.ExplainedBy is not null, f.Message);

    private static LineWinds[] Winds(MissionState mission, IEnumerable<LineWinds> figures)
    {
        var lines = figures.ToLookup(f => f.Line, StringComparer.Ordinal);
        return [.. (mission.Instrument?.Lines ?? []).Select(l => Sum(l.Id, lines[l.Id]))];
    }

    private static LineWinds Sum(string line, IEnumerable<LineWinds> orbits)
    {
        LineWinds[] all = [.. orbits];
        return new(line, all.Sum(o => o.Values), all.Sum(o => o.Good), RobustStatistics.Median([.. all.Select(o => o.SigmaMs).Where(double.IsFinite)]));
    }

    // Held orbits are no part of what is usual.
    private UsualWinds[] Usual(MissionState mission, DateOnly date)
    {
        if (mission.Instrument is not { } instrument) return [];
        var (from, to) = (Instant.StartOf(date.AddDays(-SignOffLimits.UsualDays)), Instant.StartOf(date));
        var slots = mission.Orbits.In(from, to).Where(o => o.Start >= from && o.Start < to).ToDictionary(o => o.Number, o => o.Start.UtcDate);
        if (slots.Count == 0) return [];
        var held = stores.Holds.Held(slots.Keys.Min(), slots.Keys.Max());
        var figures = stores.WindFigures.Read(slots.Keys.Min(), slots.Keys.Max()).Where(f => slots.ContainsKey(f.Orbit) && !held.ContainsKey(f.Orbit)).ToArray();
        return [.. instrument.Lines.Select(l =>
        {
            LineWinds[] days = [.. figures.Where(f => f.Winds.Line == l.Id).GroupBy(f => slots[f.Orbit]).Select(g => Sum(l.Id, g.Select(f => f.Winds))).Where(d => d.Values > 0)];
            return new UsualWinds(l.Id, days.Length, RobustStatistics.Median([.. days.Select(d => d.GoodShare)]), RobustStatistics.Median([.. days.Select(d => d.SigmaMs).Where(double.IsFinite)]));
        })];
    }

    /// <summary>True while anything that makes or judges products of a stretch is marked to be done.</summary>
    /// <param name="stores">Stores.</param>
    /// <param name="firstOrbit">First orbit.</param>
    /// <param name="lastOrbit">Last orbit.</param>
    /// <param name="from">Start.</param>
    /// <param name="to">End.</param>
    public static bool InWork(Stores stores, int firstOrbit, int lastOrbit, Instant from, Instant to)
    {
        ArgumentNullException.ThrowIfNull(stores);
        return stores.Work.Marked(OrbitWork, firstOrbit, lastOrbit).Count > 0 || stores.Work.Marked(HourWork, Hour.Of(from), Hour.Of(to)).Count > 0;
    }

    private int[] Waiting(List<OrbitSlot> slots, OrbitRow[] rows, HashSet<int> withFigures)
    {
        var (first, last) = (slots[0].Number, slots[^1].Number);
        var orbits = stores.Work.Marked(OrbitWork, first, last).ToHashSet();
        var hours = stores.Work.Marked(HourWork, Hour.Of(slots[0].Start), Hour.Of(slots[^1].End));
        // Winds of an earlier version, of which no figures were made yet, and orbits without a verdict.
        var lacking = stores.Winds.OrbitsWithWinds(first, last).Where(o => !withFigures.Contains(o)).Concat(rows.Where(r => r.VerdictReasons == OrbitVerdict.NotYet).Select(r => r.Orbit)).ToHashSet();
        return [.. slots.Where(s => orbits.Contains(s.Number) || lacking.Contains(s.Number) || hours.Any(h => h >= Hour.Of(s.Start) && h <= Hour.Of(s.End))).Select(s => s.Number)];
    }

    private GroundOrbit GroundOf(OrbitRow r, HashSet<int> held, long values)
    {
        var hashes = stores.Winds.HashesOfOrbit(r.Orbit);
        var beginnings = new byte[hashes.Count * sizeof(ulong)];
        for (var i = 0; i < hashes.Count; i++) hashes[i].AsSpan(0, sizeof(ulong)).CopyTo(beginnings.AsSpan(i * sizeof(ulong)));
        return new(r.Orbit, r.ReceivedExposures, r.ReceivedRows, r.CoefficientSet, held.Contains(r.Orbit), checked((int)values), beginnings);
    }

    private static GroundFlag GroundOf(DayFlag f) =>
        new(f.Id, f.Severity.ToString().ToLowerInvariant(), f.Life is LifeState.Explained or LifeState.Settled ? f.Life.ToString().ToLowerInvariant() : DayChanges.OpenState, f.Message);
}
