using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Drift;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.WindBudget;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>One tracker series over the report's orbits.</summary>
/// <param name="Name">Words.</param>
/// <param name="Unit">Unit; null for a ratio or a count.</param>
/// <param name="Count">Values.</param>
/// <param name="Least">Least value.</param>
/// <param name="Median">Median.</param>
/// <param name="Most">Largest value.</param>
/// <param name="State">Worst state of a value.</param>
public sealed record ReportTracker(string Name, string? Unit, int Count, double Least, double Median, double Most, string State);

/// <summary>The error budget of a view and line.</summary>
/// <param name="Name">View and line.</param>
/// <param name="Winds">Good winds behind it.</param>
/// <param name="PartsMs">Root mean square of each of <see cref="BudgetTerm.All"/>, m/s.</param>
/// <param name="TotalMs">Root of the sum of their squares, m/s.</param>
public sealed record ReportBudget(string Name, int Winds, IReadOnlyList<double> PartsMs, double TotalMs);

/// <summary>What a report says beside its plots.</summary>
/// <param name="Days">Each day with its sheet for sign-off; null where no orbit of it has data.</param>
/// <param name="Orbits">Orbits that begin within the span: as sign-off counts them.</param>
/// <param name="Flags">Flags that touch it, withdrawn ones left out.</param>
/// <param name="Trackers">Trackers' summary.</param>
/// <param name="Budgets">Error budgets.</param>
/// <param name="Every">Every so-manyth orbit is in the budgets: 1 for a day.</param>
/// <param name="Sets">Coefficient sets in force within the span, in order.</param>
/// <param name="Decisions">Decisions about coefficients that concern sets in force here.</param>
/// <param name="Notes">The team's notes.</param>
/// <param name="HandOvers">Notes from shift to shift about these days.</param>
/// <param name="Holds">Orbits that people hold by themselves.</param>
/// <param name="Ground">Of which data.</param>
public sealed record ReportView(IReadOnlyList<(DateOnly Date, DaySheet? Sheet)> Days, IReadOnlyList<OrbitRow> Orbits, IReadOnlyList<FlagRow> Flags, IReadOnlyList<ReportTracker> Trackers, IReadOnlyList<ReportBudget> Budgets, int Every,
    IReadOnlyList<CoefficientsInForce> Sets, IReadOnlyList<CoefficientDecisionRow> Decisions, IReadOnlyList<AnnotationRow> Notes,
    IReadOnlyList<HandOverRow> HandOvers, IReadOnlyList<OrbitHoldRow> Holds, ReportGround Ground);

/// <summary>Reads a report from the stores.</summary>
public sealed class ReportQueries(Stores stores)
{
    // Chosen: 20 orbits tell a week's error budget; all hundred would be read for half a minute.
    private const int EveryOfWeek = 5;

    // States of values, worst first: what left its limits stands on top.
    private static readonly string[] States = ["critical", "warning", "provisional", "normal"];

    /// <summary>The report of a span, as the data are now.</summary>
    public ReportView Read(MissionState mission, ReportSpan span)
    {
        ArgumentNullException.ThrowIfNull(mission);
        ArgumentNullException.ThrowIfNull(span);
        var touching = stores.Orbits.Touching(span.From, span.To);
        var trackers = ReportGround.TrackersOf(stores, touching);
        var ground = ReportGround.Of(stores, span, touching, trackers);
        var reader = new DayReader(stores);
        OrbitRow[] orbits = [.. touching.Where(o => o.Start >= span.From)];
        var entries = mission.Coefficients.Entries;
        var sets = entries.Where((e, i) => e.From < span.To && (i + 1 >= entries.Count || entries[i + 1].From > span.From)).ToList();
        var ids = sets.Select(s => s.SetId).ToHashSet();
        var every = span.Kind == ReportSpan.Week ? EveryOfWeek : 1;
        FlagRow[] flags = [.. stores.Flags.List(span.From, span.To, ReportGround.MostFlags).Items.Where(f => f.State != FlagWords.Withdrawn).OrderByDescending(f => FlagWords.Rank(f.Severity)).ThenBy(f => f.From)];
        return new([.. span.Dates.Select(d => (d, reader.Read(mission, d)))], orbits, flags, Trackers(mission, orbits, trackers), Budgets(mission, orbits, every), every,
            sets, [.. stores.Coefficients.Decisions().Where(d => ids.Contains(d.SetId))], stores.Annotations.Touching(span.From, span.To, ReportGround.MostFlags),
            stores.HandOvers.Of(span.FirstDay, span.LastDay, span.From, span.To), orbits.Length == 0 ? [] : stores.Holds.HeldByThemselves(orbits[0].Orbit, orbits[^1].Orbit), ground);
    }

    private static List<ReportTracker> Trackers(MissionState mission, IReadOnlyList<OrbitRow> orbits, IReadOnlyList<TrackerReading> readings) => orbits.Count == 0 ? [] :
        [.. readings.Where(t => t.Orbit >= orbits[0].Orbit && double.IsFinite(t.Value)).GroupBy(t => t.Key).Select(g =>
        {
            double[] values = [.. g.Select(t => t.Value).Order()];
            var state = States.FirstOrDefault(s => g.Any(t => t.State == s)) ?? States[^1];
            return new ReportTracker(SeriesText.Words(g.Key), SeriesText.Unit(g.Key, mission.Plan), values.Length, values[0], Core.Statistics.RobustStatistics.Median(values), values[^1], state);
        }).OrderBy(t => Array.IndexOf(States, t.State)).ThenBy(t => t.Name, StringComparer.Ordinal)];

    private List<ReportBudget> Budgets(MissionState mission, IReadOnlyList<OrbitRow> orbits, int every)
    {
        var budgets = new List<ReportBudget>();
        if (mission.Instrument is not { } instrument || orbits.Count == 0) return budgets;
        var held = stores.Holds.Held(orbits[0].Orbit, orbits[^1].Orbit);
        OrbitRow[] used = [.. orbits.Where(o => !held.ContainsKey(o.Orbit))];
        foreach (var view in instrument.Views)
            foreach (var line in instrument.Lines)
            {
                var squares = new double[BudgetTerm.All.Count];
                var winds = 0;
                foreach (var orbit in used.Where((_, i) => i % every == 0))
                    foreach (var wind in stores.Winds.OfOrbit(orbit.Orbit, view.Id, line.Id).SelectMany(s => s.Profile.Rows).Where(w => w.Quality == WindQuality.Good))
                    {
                        winds++;
                        for (var i = 0; i < squares.Length; i++) squares[i] += Math.Pow(BudgetTerm.All[i].Value(wind.Budget), 2);
                    }
                if (winds > 0) budgets.Add(new($"view {view.Id}, {line.Id}", winds, [.. squares.Select(s => Math.Sqrt(s / winds))], Math.Sqrt(squares.Sum() / winds)));
            }
        return budgets;
    }
}
