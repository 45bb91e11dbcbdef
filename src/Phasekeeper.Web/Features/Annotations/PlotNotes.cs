using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Plots;
using Phasekeeper.Web.Shared.Times;

namespace Phasekeeper.Web.Features.Annotations;

/// <summary>
/// Puts the team's notes on every plot that shows their time. The one place where that happens: a filter of all plot addresses, so that picture, PNG, CSV, table, print and summary have them alike.
/// A plot costs one search of an index more; plots without times cost nothing.
/// </summary>
public static class PlotNotes
{
    /// <summary>Most notes on one plot (chosen: more cannot be told apart; the summary says how many are left out).</summary>
    public const int Most = 40;

    // Chosen: a summary stays a few lines; the rest are listed below the plot.
    private const int MostTold = 3;

    /// <summary>The filter.</summary>
    public static async ValueTask<object?> Add(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        ArgumentNullException.ThrowIfNull(context);
        ArgumentNullException.ThrowIfNull(next);
        var result = await next(context);
        return result is IValueHttpResult { Value: PlotDocument document }
            ? TypedResults.Json(Of(document, context.HttpContext.RequestServices.GetRequiredService<Stores>().Annotations), ApiJson.Options) : result;
    }

    /// <summary>A document with the notes of its time; itself where it has no time, or nothing is noted.</summary>
    public static PlotDocument Of(PlotDocument document, AnnotationStore store)
    {
        ArgumentNullException.ThrowIfNull(document);
        ArgumentNullException.ThrowIfNull(store);
        if (SpanOf(document) is not { } span) return document;
        var rows = store.Touching(span.Start, span.End, Most + 1);
        if (rows.Count == 0) return document;
        var notes = rows.Take(Most).Select(Note).ToList();
        return document with { Notes = notes, Summary = $"{document.Summary} {Told(notes, rows.Count > Most)}".TrimStart(), Panels = document.Panels is { } panels ? Marked(panels, notes) : null };
    }

    /// <summary>The stretch of time that a plot covers: its axis where that is fixed, else its data; null without either.</summary>
    internal static TimeStretch? SpanOf(PlotDocument document)
    {
        if (document.Panels is { } panels)
        {
            var times = panels.Rows.Where(r => r.Time is not null).Select(r => r.Time!.Value).ToList();
            return times.Count == 0 ? null : new(times.Min(t => t.Start), times.Max(t => t.End));
        }
        if (document.X.Kind != PlotAxisKind.Time) return null;
        double? min = document.X.Min, max = document.X.Max;
        if (min is null || max is null)
        {
            foreach (var x in document.Traces.SelectMany(t => t.X).Where(double.IsFinite))
                (min, max) = (document.X.Min ?? Math.Min(min ?? x, x), document.X.Max ?? Math.Max(max ?? x, x));
        }
        return min is { } from && max is { } to && to >= from ? new(PlotTime.ToInstant(from), PlotTime.ToInstant(to)) : null;
    }

    private static PlotNote Note(AnnotationRow row, int index) => new(row.Id, index + 1, PlotTime.Of(row.From), PlotTime.Of(row.To), row.Text, row.Actor, About(row));

    private static string? About(AnnotationRow row) => string.Join(", ", new[] { row.View is { } view ? "view " + view : null, row.Line, row.Channel }.Where(part => part is not null)) is { Length: > 0 } about ? about : null;

    private static string Told(List<PlotNote> notes, bool more) =>
        $"{(notes.Count == 1 ? "1 note" : string.Create(CultureInfo.InvariantCulture, $"{notes.Count} notes"))} of the team{(more ? " (more are left out: zoom in)" : "")}: "
        + string.Join("; ", notes.Take(MostTold).Select(n => $"{UtcText.Range(PlotTime.ToInstant(n.From), PlotTime.ToInstant(n.To))} UTC “{n.Text}” ({n.By})")) + (notes.Count > MostTold ? "; all stand below." : ".");

    // Panels count minutes since each row's own start: a note stands as a mark where it begins, or at the row's start where it began before.
    private static PlotPanels Marked(PlotPanels panels, List<PlotNote> notes) => panels with
    {
        Rows = [.. panels.Rows.Select(row => row.Time is not { } time ? row : row with
        {
            Markers = [.. row.Markers, .. notes.Where(n => PlotTime.ToInstant(n.From) <= time.End && PlotTime.ToInstant(n.To) >= time.Start)
                .Select(n => new PlotMarker(Math.Max(0, (PlotTime.ToInstant(n.From) - time.Start) / 60), PlotMarkerKind.Event, $"note {n.Number}: {n.Text}"))],
        })],
    };
}
