using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Days;
using Phasekeeper.Web.Features.Drift;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>The report of a UTC day or week, made for paper.</summary>
public sealed partial class ReportPage(Stores stores, PipelineEngine engine, NavigationManager navigation, TimeProvider clock)
{
    // Chosen: what the morning's questions hang on, beside the residual that has a plot of its own.
    private static readonly string[] Drifting = ["lamp-offset", "scene-phase-residual"];

    private ReportSpan? span;
    private ReportView? view;
    private MissionState? mission;

    /// <summary>First UTC day.</summary>
    [Parameter]
    public string First { get; set; } = "";

    private string Kind => new Uri(navigation.Uri).Segments.ElementAtOrDefault(2)?.TrimEnd('/') ?? "";

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);

    private string Made => $"Made {UtcText.DateAndMinute(Now)} UTC (wall clock) of {view!.Ground.Versions}.";

    private static string Since(CoefficientsInForce entry) => entry.From == Instant.MinValue ? "from the beginning" : $"from {UtcText.DateAndMinute(entry.From)} UTC";

    private static string Decided(CoefficientDecisionRow d) => FormattableString.Invariant($"Set {d.SetId} {d.Decision} by {d.Actor}, {UtcText.DateAndMinute(d.Time)} UTC (wall clock)")
        + (d.FromOrbit is { } orbit ? FormattableString.Invariant($", from orbit {orbit}") : d.FromTime == Instant.MinValue ? ", from the beginning" : "") + (d.Note is { Length: > 0 } note ? $": {note}" : "");

    private IEnumerable<PlannedActivity> Activities => mission!.Activities.Where(a => a.From < span!.To && a.To > span.From);

    private string Complete
    {
        get
        {
            long received = view!.Orbits.Sum(o => (long)o.ReceivedRows), expected = view.Orbits.Sum(o => (long)o.ExpectedRows);
            var verdicts = string.Join(", ", view.Orbits.GroupBy(o => o.Verdict).OrderBy(g => g.Key, StringComparer.Ordinal).Select(g => $"{g.Count()} {DayWords.Phrase(g.Key)}"));
            return FormattableString.Invariant($"{(view.Orbits.Count == 1 ? "1 orbit begins" : $"{view.Orbits.Count} orbits begin")} in it{(verdicts.Length == 0 ? "" : $": {verdicts}")}. {NumberText.Whole(received)} of {NumberText.Whole(expected)} expected rows arrived{(expected > 0 ? $", {100.0 * Math.Min(received, expected) / expected:0.0} %" : "")}.");
        }
    }

    private IEnumerable<(string Title, string Url)> Drifts => view!.Orbits.Count == 0 ? [] : Drifting.Select(id => (Info: Core.Trackers.TrackerCatalog.Find(id)?.Info, Keys: stores.Trackers.Series().Where(k => k.Tracker == id).Take(DriftPlots.MostSeries).ToList()))
        .Where(t => t.Info is not null && t.Keys.Count > 0).Select(t => (t.Info!.Title, Plot("drift") + string.Concat(t.Keys.Select(k => "&s=" + Uri.EscapeDataString(SeriesText.Write(k))))));

    /// <inheritdoc/>
    protected override void OnParametersSet()
    {
        span = ReportSpan.Read(Kind, First);
        mission = engine.Mission;
        view = span is null || mission is null ? null : new ReportQueries(stores).Read(mission, span);
    }

    private string Plot(string name) => $"/api/v1/plots/{name}?from={Uri.EscapeDataString(span!.From.ToString())}&to={Uri.EscapeDataString(span.To.ToString())}";
}
