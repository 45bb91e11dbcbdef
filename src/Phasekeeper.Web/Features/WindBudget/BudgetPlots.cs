using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Phasekeeper.Core.Winds;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Features.Winds;
using Phasekeeper.Web.Shared.Plots;

namespace Phasekeeper.Web.Features.WindBudget;

/// <summary>One origin of uncertainty.</summary>
/// <param name="Word">Word in tables.</param>
/// <param name="Title">Words in the legend.</param>
/// <param name="What">What it is and what makes it smaller, for people.</param>
/// <param name="Value">Its part, m/s.</param>
public sealed record BudgetTerm(string Word, string Title, string What, Func<WindErrorBudget, double> Value)
{
    /// <summary>All terms of <see cref="WindErrorBudget"/>, in the order in which they are stacked.</summary>
    public static readonly IReadOnlyList<BudgetTerm> All =
    [
        new("photon", "photon and read noise", "Grows where the airglow is weak; a longer exposure or averaging lowers it.", b => b.PhotonMs),
        new("inversion", "inversion", "Smoothing by the prior, the emission profile, and changes along the ray that one exposure cannot see. Averaging neighbouring exposures lowers only its second part.", b => b.InversionMs),
        new("thermal", "lamp and thermal correction", "How well the lamp and the thermal model tell the optics' drift. More lamp exposures lower it.", b => b.ThermalMs),
        new("image shift", "image shift", "What is left of the fiducials' uncertainty after lamp and scene have cancelled their common part.", b => b.ImageShiftMs),
        new("attitude", "attitude", "Satellite speed along a line of sight that is turned: 0.01° of yaw is about 0.9 m/s.", b => b.AttitudeMs),
        new("ephemeris", "satellite's speed", "0.1 m/s from tabulated orbits, some m/s from mean elements.", b => b.EphemerisMs),
        new("zero wind", "zero wind", "The offset of view and line, by the uncertainty that the profile states for it (instrument, zeroWindSigmaMs); nothing where it states none.", b => b.ZeroWindMs),
    ];
}

/// <summary>The error budget of one orbit's line-of-sight winds.</summary>
public static class BudgetPlots
{
    private const int BinKm = 10;

    /// <summary>Maps the endpoints.</summary>
    public static void MapBudgetPlots(this IEndpointRouteBuilder plots)
    {
        var budget = plots.MapGroup("/winds/budget/{number:int}");
        budget.MapGet("/altitude", (int number, string? view, string? line, Stores stores, PipelineEngine engine) => With(engine, mission => ByAltitude(Read(stores, mission, number, view, line)).Marked(stores, [number])));
        budget.MapGet("/along", (int number, string? view, string? line, double altitude, Stores stores, PipelineEngine engine) => With(engine, mission => AlongOrbit(Read(stores, mission, number, view, line), altitude, mission).Marked(stores, [number])));
    }

    private static Ok<PlotDocument> With(PipelineEngine engine, Func<MissionState, PlotDocument> make) => TypedResults.Ok(make(PlotMission.Of(engine)));

    private static BudgetWinds Read(Stores stores, MissionState mission, int number, string? view, string? line)
    {
        if (mission.Instrument is not { } instrument) throw ApiProblems.BadRequest("This mission has no instrument, so it has no winds.");
        view = string.IsNullOrEmpty(view) ? instrument.Views[0].Id : view;
        line = string.IsNullOrEmpty(line) ? instrument.Lines[0].Id : line;
        return new(number, view, line, stores.Winds.OfOrbit(number, view, line));
    }

    private sealed record BudgetWinds(int Orbit, string View, string Line, IReadOnlyList<StoredLosWind> Winds)
    {
        public string Name => $"view {View}, {Line}, orbit {Orbit}";
    }

    // Squares add up, so squares are stacked: the height of a layer is its share of the variance.
    private static PlotDocument ByAltitude(BudgetWinds of)
    {
        var bins = of.Winds.SelectMany(w => w.Profile.Rows).Where(r => r.Quality != WindQuality.Bad && double.IsFinite(r.SigmaMs)).GroupBy(r => (int)Math.Floor(r.AltitudeKm / BinKm)).OrderBy(g => g.Key).ToArray();
        double[] heights = [.. bins.Select(b => (b.Key + 0.5) * BinKm)];
        return new PlotDocument
        {
            Title = $"Where the uncertainty comes from, by altitude: {of.Name}",
            Summary = bins.Length == 0 ? "" : Largest(bins.SelectMany(b => b), "over all heights") + " Bars add up to the mean of the reported variance; below them its root, the typical 1σ.",
            X = new PlotAxis("x", "Altitude", "km"),
            Y = [new PlotAxis("y0", "Variance", "(m/s)²") { Min = 0, Share = 1.5 }, new PlotAxis("sigma", "Total 1σ", "m/s") { Min = 0 }],
            Stacked = true,
            Traces = bins.Length == 0 ? [] :
            [
                .. BudgetTerm.All.Select((term, i) => Bars(term, i, heights, [.. bins.Select(b => b.Average(r => Square(term.Value(r.Budget))))])),
                new PlotTrace { Name = "total 1σ", Kind = PlotTraceKind.Points, Axis = "sigma", Role = PlotRole.Measured, X = heights, Y = [.. bins.Select(b => Math.Sqrt(b.Average(r => Square(r.SigmaMs))))], Note = [.. bins.Select(b => $"{b.Count()} winds")] },
            ],
            EmptyText = "No good or doubtful line-of-sight winds of this orbit, view and line.",
        };
    }

    private static PlotDocument AlongOrbit(BudgetWinds of, double altitudeKm, MissionState mission)
    {
        var winds = of.Winds.Select(w => (w.Profile.Time, Wind: w.Profile.Rows.Where(r => r.Quality != WindQuality.Bad && double.IsFinite(r.SigmaMs)).MinBy(r => Math.Abs(r.AltitudeKm - altitudeKm))))
            .Where(p => p.Wind is { } wind && Math.Abs(wind.AltitudeKm - altitudeKm) <= BinKm).Select(p => (p.Time, Wind: p.Wind!)).ToArray();
        double[] times = [.. winds.Select(p => PlotTime.Of(p.Time))];
        var slot = mission.Orbits.Of(of.Orbit);
        return new PlotDocument
        {
            Title = string.Create(CultureInfo.InvariantCulture, $"Along the orbit, near {altitudeKm:0} km: {of.Name}"),
            Summary = winds.Length == 0 ? "" : Largest(winds.Select(p => p.Wind), string.Create(CultureInfo.InvariantCulture, $"near {altitudeKm:0} km")),
            X = PlotAxis.UtcTime(slot?.Start, slot?.End),
            Y = [new PlotAxis("y0", "Variance", "(m/s)²") { Min = 0 }],
            Stacked = true,
            Traces = winds.Length == 0 ? [] : [.. BudgetTerm.All.Select((term, i) => Bars(term, i, times, [.. winds.Select(p => Square(term.Value(p.Wind.Budget)))]))],
            Bands = slot is { } s ? Shared.Orbits.ShadowBands.Of(mission, s.Start, s.End) : [],
            EmptyText = string.Create(CultureInfo.InvariantCulture, $"No good or doubtful wind within {BinKm} km of {altitudeKm:0} km."),
        };
    }

    private static PlotTrace Bars(BudgetTerm term, int index, double[] x, double[] y) => new() { Name = term.Title, Kind = PlotTraceKind.Bars, Axis = "y0", Colour = index + 1, X = x, Y = y };

    private static string Largest(IEnumerable<LosWind> winds, string where)
    {
        var all = winds.ToArray();
        var total = all.Average(r => Square(r.SigmaMs));
        var parts = BudgetTerm.All.Select(t => (t.Title, Share: all.Average(r => Square(t.Value(r.Budget))) / total)).Where(p => p.Share >= 0.005).OrderByDescending(p => p.Share).Take(3);
        return string.Create(CultureInfo.InvariantCulture, $"{all.Length} winds {where}, 1σ {Math.Sqrt(total):0.0} m/s (rms). Largest parts of the variance: ") + string.Join(", ", parts.Select(p => string.Create(CultureInfo.InvariantCulture, $"{p.Title} {100 * p.Share:0} %"))) + ".";
    }

    private static double Square(double x) => x * x;
}
