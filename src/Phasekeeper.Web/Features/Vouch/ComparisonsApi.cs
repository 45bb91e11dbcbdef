using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Intake;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Features.People;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>A set of independent winds.</summary>
public sealed record ComparisonSetItem(
    long Id, string Name, string Provenance, string State, string Reason, Instant Received, Instant? From, Instant? To, int Bytes, string Sha256, long Pairs, long Orbits)
{
    /// <summary>The item of a set.</summary>
    public static ComparisonSetItem Of(ComparisonSet s) => new(
        s.Row.Id, s.Row.Name, s.Provenance, s.Row.State, s.Row.Reason, s.Row.Received, s.Row.CoverFrom, s.Row.CoverTo, s.Row.Length, Convert.ToHexStringLower(s.Row.Sha256), s.Pairs, s.Orbits);
}

/// <summary>Statistics of one group; differences are ours minus theirs, m/s.</summary>
public sealed record ComparisonStatisticItem(
    string Wind, string View, string Line, string By, double BinFrom, double BinTo, int Pairs, int Orbits, double BiasMs, double BiasSigmaMs, double MedianMs, double SpreadMs, double ExpectedSpreadMs,
    double Correlation, double CorrelationLow, double CorrelationHigh, double Intercept, double InterceptSigma, double Slope, double SlopeSigma, double ReducedChiSquare)
{
    /// <summary>The item of a group.</summary>
    public static ComparisonStatisticItem Of(ComparisonGroup g)
    {
        var (s, line) = (g.Summary, g.Summary.Line);
        return new(ApiWords.Of(g.Compared), g.View, g.Line, g.By, g.From, g.To, s.Pairs, s.Encounters, s.BiasMs, s.BiasSigmaMs, s.MedianMs, s.SpreadMs, s.ExpectedSpreadMs, s.Correlation, s.CorrelationLow,
            s.CorrelationHigh, line?.Intercept ?? double.NaN, line?.InterceptSigma ?? double.NaN, line?.Slope ?? double.NaN, line?.SlopeSigma ?? double.NaN, line?.ReducedChiSquare ?? double.NaN);
    }
}

/// <summary>One pair.</summary>
public sealed record ComparisonPairItem(
    Instant Time, string Wind, string View, string Line, int Orbit, double LatitudeDeg, double LongitudeDeg, double AltitudeKm, double LocalSolarTimeH, double OwnMs, double OwnSigmaMs, double OtherMs,
    double OtherSigmaMs, double DistanceKm, double Minutes, double AltitudeGapKm, string Sampling)
{
    /// <summary>The item of a pair.</summary>
    public static ComparisonPairItem Of(ComparisonPair p) => new(
        p.Time, ApiWords.Of(p.Compared), p.View, p.Line, p.Orbit, p.LatitudeDeg, p.LongitudeDeg, p.AltitudeKm, p.LocalSolarTimeH, p.OwnMs, p.OwnSigmaMs, p.OtherMs, p.OtherSigmaMs, p.DistanceKm, p.Minutes,
        p.AltitudeGapKm, ApiWords.Of(p.Sampling));
}

/// <summary>What became of a set that was sent.</summary>
/// <param name="Id">Its id; of the first one when it was known.</param>
/// <param name="Added">False: it was known already.</param>
/// <param name="Winds">Winds in it.</param>
public sealed record ComparisonSetAnswer(long Id, bool Added, int Winds);

/// <summary>Independent winds: import, pairs, statistics.</summary>
public static class ComparisonsApi
{
    private const string Kind = "set of independent winds";

    /// <summary>Adds the calls.</summary>
    public static void MapComparisons(this IEndpointRouteBuilder api)
    {
        var sets = api.MapGroup("/comparisons").WithTags("Independent winds");
        sets.MapGet("", ([AsParameters] ListQuery query, Stores stores) => ((IReadOnlyList<ComparisonSetItem>)[.. new VouchQueries(stores).Sets().Select(ComparisonSetItem.Of)]).AnswerPart(query.Read()))
            .WithName("getComparisons").WithSummary("Sets of independent winds, the newest first.");
        sets.MapPost("", PostAsync).RequireAuthorization(Roles.Analyst).WithName("postComparison").Accepts<Stream>("text/csv", "*/*").Produces<ComparisonSetAnswer>()
            .ProducesProblem(StatusCodes.Status400BadRequest).ProducesProblem(StatusCodes.Status413PayloadTooLarge)
            .WithSummary($"Takes in a set of independent winds: CSV with the columns {string.Join(',', IndependentWindFile.Columns)} and, if wanted, {IndependentWindFile.SourceColumn}; # begins a comment. All mistakes are told together. The same content is taken once.");
        sets.MapDelete("/{id}", DeleteAsync).RequireAuthorization(Roles.Analyst).WithName("deleteComparison").Produces(StatusCodes.Status204NoContent).ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("Forgets a set and its pairs.");
        sets.MapGet("/{id}/statistics", (string id, [FromQuery] string? by, [AsParameters] ComparisonQuery query, Stores stores) =>
        {
            var queries = new VouchQueries(stores);
            if (by is { Length: > 0 } && !ComparisonGroups.Ways.Contains(by)) throw ApiProblems.BadRequest(ApiTexts.UnknownWord("by", by, ComparisonGroups.Ways));
            var choice = query.Read();
            var pairs = queries.Pairs(Find(id, queries).Id, choice).Pairs;
            return new ListResult<ComparisonStatisticItem>([.. ComparisonGroups.Of(pairs, by is { Length: > 0 } ? by : ComparisonGroups.ByAll).Select(ComparisonStatisticItem.Of)], null);
        }).WithName("getComparisonStatistics").ProducesProblem(StatusCodes.Status404NotFound).WithSummary("Bias, spread, correlation and regression (errors of both sides) by view, line and direction; by = all, altitude or localTime.");
        sets.MapGet("/{id}/pairs", (string id, [AsParameters] ComparisonQuery query, Stores stores) =>
        {
            var (queries, choice) = (new VouchQueries(stores), query.Read());
            return new ListResult<ComparisonPairItem>([.. queries.Pairs(Find(id, queries).Id, choice).Pairs.Select(ComparisonPairItem.Of)], null);
        }).WithName("getComparisonPairs").ProducesProblem(StatusCodes.Status404NotFound).WithSummary("Winds of ours with the nearest independent one.");
    }

    /// <summary>Forgets a set and its pairs.</summary>
    /// <exception cref="KeyNotFoundException">There is no such set.</exception>
    public static Task ForgetAsync(Stores stores, long id, Actor actor, CancellationToken cancel = default)
    {
        var set = new VouchQueries(stores).Sets().FirstOrDefault(s => s.Row.Id == id) ?? throw new KeyNotFoundException($"There is no {Kind} with the id {id}.");
        return stores.Database.WriteAsync(t =>
        {
            ComparisonStore.DeleteSet(t, id);
            // Refuses one that is gone by now.
            AuxiliaryStore.DeleteWinds(t, id);
            RecordStore.Append(t, actor, RecordKinds.ComparisonForget, set.Row.Name, new { set.Row.Id, set.Row.Source, set.Row.Sha256, set.Row.Length, set.Row.State, set.Row.Received, set.Provenance, set.Pairs }, null, null);
        }, cancel);
    }

    /// <summary>Takes a set in by the road of all files; text with all mistakes, or null.</summary>
    public static async Task<(string? Mistakes, ComparisonSetAnswer? Answer)> TakeAsync(byte[] content, string road, string name, Actor actor, IntakeService intake, Stores stores, CancellationToken cancel)
    {
        var read = IndependentWindFile.Read(name, AuxiliaryReader.Text(content));
        if (!read.Ok) return (read.Message, null);
        var result = await intake.IngestAsync(content, $"{road}:{name}", actor, cancel).ConfigureAwait(false);
        var hash = System.Security.Cryptography.SHA256.HashData(content);
        var row = stores.Auxiliary.List(AuxiliaryKind.Winds).First(r => r.Sha256.AsSpan().SequenceEqual(hash));
        return (null, new(row.Id, result.Stored > 0, read.Value.Winds.Count));
    }

    /// <summary>A name with the extension that tells the format.</summary>
    public static string CleanName(string? name)
    {
        var clean = string.Concat(Path.GetFileName((name ?? "").Replace('\\', '/')).Where(c => !char.IsControl(c)).Take(200));
        return clean.Length == 0 ? "winds.csv" : Path.GetExtension(clean).Equals(".csv", StringComparison.OrdinalIgnoreCase) ? clean : clean + ".csv";
    }

    private static async Task<IResult> PostAsync(HttpRequest request, [FromQuery] string? name, IntakeService intake, Stores stores, ICurrentActor actor, CancellationToken cancel)
    {
        using var body = new MemoryStream();
        var buffer = new byte[1 << 16];
        while (await request.Body.ReadAsync(buffer, cancel) is var read and > 0)
        {
            body.Write(buffer, 0, read);
            if (body.Length > IntakeService.LargestAuxiliaryBytes) throw new ApiProblemException(StatusCodes.Status413PayloadTooLarge, ApiTexts.BodyTooLarge(IntakeService.LargestAuxiliaryBytes));
        }
        var (mistakes, answer) = await TakeAsync(body.ToArray(), ApiWords.Of(Intake.IntakeRoad.Api), CleanName(name), await actor.GetAsync(), intake, stores, cancel);
        return answer is null ? throw ApiProblems.BadRequest(mistakes!) : TypedResults.Json(answer, ApiJson.Options);
    }

    private static async Task<IResult> DeleteAsync(string id, Stores stores, ICurrentActor actor, CancellationToken cancel)
    {
        await ForgetAsync(stores, Find(id, new VouchQueries(stores)).Id, await actor.GetAsync(), cancel);
        return TypedResults.NoContent();
    }

    private static AuxiliaryRow Find(string id, VouchQueries queries) =>
        !long.TryParse(id, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? throw ApiProblems.BadRequest(ApiTexts.BadId(Kind, id))
        : queries.Set(number) ?? throw ApiProblems.NotFound(Kind, id);
}
