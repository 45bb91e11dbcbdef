using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Fringes;

/// <summary>
/// One detector row of an exposure (contract.md section 4). Numbers are null where the row has no fringe result: too few samples, no
/// fringe, no motion known, or a kind without fringes.
/// </summary>
/// <param name="Time">Middle of the exposure.</param>
/// <param name="Exposure">Exposure number.</param>
/// <param name="Kind">scene | lamp | dark | flat.</param>
/// <param name="View">View.</param>
/// <param name="Line">Line.</param>
/// <param name="Row">Detector row, from 0.</param>
/// <param name="PhaseRad">Phase, rad, in (−π, π]; motion and distortion taken out, drift and image shift still in.</param>
/// <param name="PhaseSigmaRad">1σ, rad.</param>
/// <param name="Visibility">Fringe visibility.</param>
/// <param name="SignalElectrons">Signal per sample, electrons.</param>
/// <param name="ChiSquare">χ² per degree of freedom.</param>
/// <param name="MaskedSamples">Samples left out: spikes, saturated, bad.</param>
/// <param name="ImageShiftSamples">The exposure's own fiducial measurement, samples.</param>
/// <param name="ImageShiftSigmaSamples">1σ, samples.</param>
/// <param name="VelocityRemovedMs">Motion of satellite and Earth that was taken out, m/s.</param>
/// <param name="CoefficientSet">Id of the coefficient set that made it.</param>
/// <param name="SoftwareVersion">Version of the program that made it.</param>
public readonly record struct FringeItem(
    Instant Time, long Exposure, ExposureKind Kind, string View, string Line, int Row, double PhaseRad, double PhaseSigmaRad, double Visibility, double SignalElectrons,
    double ChiSquare, int MaskedSamples, double ImageShiftSamples, double ImageShiftSigmaSamples, double VelocityRemovedMs, long? CoefficientSet, string SoftwareVersion)
{
    /// <summary>The item of a stored row.</summary>
    public static FringeItem Of(StoredFringeRow row)
    {
        var result = row.Fringe.Result;
        return new FringeItem(
            result.Time, result.Exposure, result.Kind, result.View, result.Line, row.Row, row.PhaseRad, row.PhaseSigmaRad, row.Visibility, row.SignalElectrons,
            row.ChiSquare, row.MaskedSamples, result.ImageShiftSamples, result.ImageShiftSigmaSamples, row.VelocityRemovedMs, row.Fringe.CoefficientSet, row.Fringe.SoftwareVersion);
    }
}

/// <summary>Which fringes are asked for.</summary>
public sealed record FringeQuery
{
    /// <summary>Kind.</summary>
    [FromQuery(Name = "kind"), Description("scene, lamp, dark or flat. Default: all.")]
    public string? Kind { get; init; }

    /// <summary>View.</summary>
    [FromQuery(Name = "view"), Description("A view of the instrument. Default: all.")]
    public string? View { get; init; }

    /// <summary>Line.</summary>
    [FromQuery(Name = "line"), Description("A line of the instrument. Default: all.")]
    public string? Line { get; init; }
}

/// <summary>Fringe phases, row by row.</summary>
public static class FringesApi
{
    /// <summary>Adds the calls.</summary>
    public static void MapFringes(this IEndpointRouteBuilder api) =>
        api.MapGet("/fringes", ([AsParameters] ListQuery query, [AsParameters] FringeQuery which, Stores stores, MissionFolder mission) =>
        {
            var range = query.Read();
            var kind = WordParameter.Read<ExposureKind>("kind", which.Kind);
            var (view, line) = (MissionParameter.View(mission, which.View), MissionParameter.Line(mission, which.Line));
            return stores.Fringes.ListRows(range.From, range.To, range.Limit, range.Next, kind, view, line).Answer(FringeItem.Of);
        }).WithTags("Fringes").WithName("getFringes")
            .WithSummary("Fringe phases: one item a detector row of an exposure, in order of time. Rows that were not received are left out.");
}
