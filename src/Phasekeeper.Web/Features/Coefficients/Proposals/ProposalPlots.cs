using System.Globalization;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Shared.Numbers;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Plots of a proposal's evidence: residuals orbit by orbit, and the change of winds by altitude or latitude.</summary>
public static class ProposalPlots
{
    // Colours of before and after; each has a sign of its own.
    private const int BeforeColour = 2, AfterColour = 1;

    /// <summary>Adds the routes.</summary>
    public static void MapProposalPlots(this IEndpointRouteBuilder plots)
    {
        var proposal = plots.MapGroup("/coefficients/{id:long}");
        proposal.MapGet("/residuals", (long id, string? measure, Stores stores) => TypedResults.Json(Residuals(ProposalQueries.Evidence(stores, id), measure), ApiJson.Options));
        proposal.MapGet("/winds", (long id, string? by, Stores stores) => by is WindChangeGroups.ByAltitude or WindChangeGroups.ByLatitude
            ? TypedResults.Json(Winds(ProposalQueries.Evidence(stores, id), by), ApiJson.Options) : throw ApiProblems.BadRequest(ApiTexts.UnknownWord("by", by ?? "", [WindChangeGroups.ByAltitude, WindChangeGroups.ByLatitude])));
    }

    private static PlotDocument Residuals(ProposalEvidence? evidence, string? wanted)
    {
        var measure = string.IsNullOrEmpty(wanted) ? evidence?.ResidualOrbits.Select(o => o.Measure).FirstOrDefault() ?? "" : wanted;
        var orbits = evidence?.ResidualOrbits.Where(o => o.Measure == measure).OrderBy(o => o.Orbit).ToArray() ?? [];
        var unit = UnitText.Of(evidence?.Residuals.FirstOrDefault(r => r.Measure == measure)?.Unit);
        var panels = orbits.GroupBy(o => (o.View, o.Line)).OrderBy(g => g.Key.View, StringComparer.Ordinal).ThenBy(g => g.Key.Line, StringComparer.Ordinal).ToArray();
        return new()
        {
            Title = $"{CoefficientWords.Measure(measure)}: residual orbit by orbit",
            Summary = orbits.Length == 0 ? "" : string.Create(CultureInfo.InvariantCulture,
                $"Root mean square of each orbit with the set in force (before) and the proposed one (after); {orbits.Where(o => o.HeldOut).Select(o => o.Orbit).Distinct().Count()} orbits held out (open signs){Later(orbits)}, {orbits.Where(o => !o.HeldOut).Select(o => o.Orbit).Distinct().Count()} fitted (filled)."),
            X = PlotAxis.UtcTime(),
            Y = panels.Length == 0 ? [new PlotAxis("y0", "Residual", unit)] : [.. panels.Select((p, i) => new PlotAxis(Axis(i), Capital(CoefficientWords.Where(p.Key.View, p.Key.Line)), unit))],
            Traces = [.. panels.SelectMany((p, i) => new[] { false, true }.SelectMany(after => Uses.Select(use => Points([.. p.Where(o => Use(o) == use)], Axis(i), after, use)))).Where(t => t.X.Count > 0)],
            EmptyText = "The evidence has no residuals of this kind.",
        };
    }

    private static readonly OrbitUse[] Uses = [OrbitUse.Fitted, OrbitUse.HeldOut, OrbitUse.HeldOutLater];

    private static OrbitUse Use(ResidualOrbit o) => !o.HeldOut ? OrbitUse.Fitted : o.Later ? OrbitUse.HeldOutLater : OrbitUse.HeldOut;

    private static string Later(IEnumerable<ResidualOrbit> orbits) => orbits.Where(o => o.Later).Select(o => o.Orbit).Distinct().Count() is > 0 and var n ? string.Create(CultureInfo.InvariantCulture, $", {n} of them after the fit's orbits") : "";

    // Points without lines: where an orbit is missing, nothing is drawn.
    private static PlotTrace Points(ResidualOrbit[] orbits, string axis, bool after, OrbitUse use) => new()
    {
        Name = (after ? "after" : "before") + (use switch { OrbitUse.Fitted => ", fitted", OrbitUse.HeldOut => ", held out", _ => ", held out after" }),
        Kind = PlotTraceKind.Points,
        Axis = axis,
        Colour = after ? AfterColour : BeforeColour,
        Open = use != OrbitUse.Fitted,
        X = [.. orbits.Select(o => PlotTime.Of(o.Time))],
        Y = [.. orbits.Select(o => after ? o.RmsAfter : o.RmsBefore)],
        Orbit = [.. orbits.Select(o => o.Orbit)],
    };

    private static PlotDocument Winds(ProposalEvidence? evidence, string by)
    {
        var altitude = by == WindChangeGroups.ByAltitude;
        var groups = (altitude ? evidence?.WindsByAltitude : evidence?.WindsByLatitude) ?? [];
        var series = groups.GroupBy(g => (g.View, g.Line)).ToArray();
        var largest = groups.MaxBy(g => g.RmsMs);
        return new()
        {
            Title = altitude ? "Change of winds by altitude" : "Change of winds by latitude",
            Summary = largest is null ? "" : string.Create(CultureInfo.InvariantCulture,
                $"Proposed set minus set in force. Largest change {FigureText.Of(largest.RmsMs, 2)} m/s rms in view {largest.View}, {largest.Line}, at {largest.From:0}{(altitude ? "" : "°")} to {largest.To:0}{(altitude ? " km" : "°")}, where a wind's own 1σ is {largest.MeanSigmaMs:0.0} m/s. Lower panel, logarithmic: rms of the change (signs) beside the winds' own 1σ (lines).").Replace("-", "−", StringComparison.Ordinal),
            X = altitude ? new PlotAxis("x", "Altitude", "km") : new PlotAxis("x", "Latitude", "°"),
            Y = [new PlotAxis("mean", "Mean change", "m/s"), new PlotAxis("rms", "RMS and 1σ", "m/s", PlotAxisKind.Logarithmic)],
            Traces = [.. series.SelectMany((s, i) => Series([.. s], $"{s.Key.View}, {s.Key.Line}", i % 8 + 1))],
            Lines = [new PlotLine("mean", 0, PlotLineKind.Reference)],
            EmptyText = "The evidence has no winds that both sets give.",
        };
    }

    private static IEnumerable<PlotTrace> Series(WindChangeGroup[] groups, string name, int colour)
    {
        double[] x = [.. groups.Select(g => (g.From + g.To) / 2)];
        string[] notes = [.. groups.Select(g => string.Create(CultureInfo.InvariantCulture, $"{g.Count} winds"))];
        yield return new() { Name = name, Kind = PlotTraceKind.Points, Axis = "mean", Colour = colour, X = x, Y = [.. groups.Select(g => g.MeanMs)], Note = notes };
        yield return new() { Name = name + ": rms", Kind = PlotTraceKind.Points, Axis = "rms", Colour = colour, InLegend = false, X = x, Y = [.. groups.Select(g => g.RmsMs > 0 ? g.RmsMs : double.NaN)], Note = notes };
        yield return new() { Name = name + ": 1σ of a wind", Kind = PlotTraceKind.Line, Axis = "rms", Colour = colour, InLegend = false, X = x, Y = [.. groups.Select(g => g.MeanSigmaMs)] };
    }

    private static string Axis(int panel) => string.Create(CultureInfo.InvariantCulture, $"y{panel}");

    private static string Capital(string words) => char.ToUpperInvariant(words[0]) + words[1..];
}
