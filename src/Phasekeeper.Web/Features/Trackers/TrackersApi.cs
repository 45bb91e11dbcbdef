using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Trackers;

/// <summary>A series of a tracker (contract.md section 4): a tracker with several views, lines or channels has an item for each.</summary>
/// <param name="Id">Tracker.</param>
/// <param name="Title">Short title.</param>
/// <param name="Unit">Unit of the value; "1" for a ratio, the channel's own for the trackers of channels.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Definition">How the value is defined.</param>
/// <param name="Advice">What to do about it; the mission's flight rules come first.</param>
/// <param name="Channel">Channel; null where it does not apply.</param>
/// <param name="MovedBy">What moves it.</param>
public sealed record TrackerItem(
    string Id, string Title, string Unit, string? View, string? Line, string Definition, string Advice, string? Channel, string MovedBy);

/// <summary>A tracker's value on an orbit.</summary>
/// <param name="Orbit">Orbit number.</param>
/// <param name="Time">Middle of the orbit's data.</param>
/// <param name="Value">Value in the tracker's unit.</param>
/// <param name="Sigma">1σ.</param>
/// <param name="N">Number of points behind it.</param>
/// <param name="Expected">What the approved set and recent orbits let expect.</param>
/// <param name="Ewma">EWMA.</param>
/// <param name="CusumHigh">Upper CUSUM.</param>
/// <param name="CusumLow">Lower CUSUM.</param>
/// <param name="State">normal | warning | critical | provisional.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Channel">Channel; null where it does not apply.</param>
/// <param name="CoefficientSet">Id of the coefficient set that made its orbit.</param>
/// <param name="SoftwareVersion">Version of the program that made it; empty for a value of before versions were written down.</param>
public sealed record TrackerValueItem(
    int Orbit, Instant Time, double Value, double Sigma, int N, double Expected, double Ewma, double CusumHigh, double CusumLow, string State,
    string? View, string? Line, string? Channel, long? CoefficientSet, string SoftwareVersion)
{
    /// <summary>The item of a stored value.</summary>
    public static TrackerValueItem Of(TrackerRow row) => new(
        row.Orbit, row.Time, row.Value, row.Sigma, row.N, row.Expected, row.Ewma, row.CusumHigh, row.CusumLow, row.State, row.Key.View, row.Key.Line, row.Key.Channel,
        row.CoefficientSet, row.SoftwareVersion);
}

/// <summary>Which series of a tracker are asked for.</summary>
public sealed record SeriesQuery
{
    /// <summary>View.</summary>
    [FromQuery(Name = "view"), Description("A view of the instrument. Default: all.")]
    public string? View { get; init; }

    /// <summary>Line.</summary>
    [FromQuery(Name = "line"), Description("A line of the instrument. Default: all.")]
    public string? Line { get; init; }

    /// <summary>Channel.</summary>
    [FromQuery(Name = "channel"), Description("A telemetry channel, for the trackers of channels. Default: all.")]
    public string? Channel { get; init; }
}

/// <summary>Trackers: what drifts, a value an orbit.</summary>
public static class TrackersApi
{
    // The unit of trackers whose values have the unit of their channel.
    private const string OwnUnitOfChannel = "channel";

    /// <summary>Adds the calls.</summary>
    public static void MapTrackers(this IEndpointRouteBuilder api)
    {
        api.MapGet("/trackers", ([AsParameters] ListQuery query, Stores stores, MissionFolder mission) => All(stores, mission).AnswerPart(query.Read()))
            .WithTags("Trackers").WithName("getTrackers").WithSummary("All trackers with definition and advice, one item a series; a tracker without values yet has one item.");
        api.MapGet("/trackers/{id}", Values).WithTags("Trackers").WithName("getTracker").ProducesProblem(StatusCodes.Status404NotFound)
            .WithSummary("A tracker's values by orbit; narrow to one series with view, line and channel.");
    }

    /// <summary>All series in the catalogue's order; trackers without values stand there once.</summary>
    public static IReadOnlyList<TrackerItem> All(Stores stores, MissionFolder mission)
    {
        ArgumentNullException.ThrowIfNull(stores);
        ArgumentNullException.ThrowIfNull(mission);
        var series = stores.Trackers.Series().ToLookup(s => s.Tracker, StringComparer.Ordinal);
        return [.. TrackerCatalog.All.SelectMany(t => series[t.Info.Id].DefaultIfEmpty(new SeriesKey(t.Info.Id, null, null)).Select(s => Item(t.Info, s, mission)))];
    }

    private static TrackerItem Item(TrackerInfo info, SeriesKey key, MissionFolder mission) =>
        new(info.Id, info.Title, UnitOf(info, key, mission), key.View, key.Line, info.Definition, info.Advice, key.Channel, info.MovedBy);

    private static string UnitOf(TrackerInfo info, SeriesKey key, MissionFolder mission) =>
        info.Unit == OwnUnitOfChannel && key.Channel is { } channel ? mission.Plan.Find(channel)?.Unit ?? "" : info.Unit;

    private static ListResult<TrackerValueItem> Values(string id, [AsParameters] ListQuery query, [AsParameters] SeriesQuery which, Stores stores, MissionFolder mission)
    {
        var range = query.Read();
        if (TrackerCatalog.Find(id) is null) throw ApiProblems.NotFound("tracker", id, TrackerCatalog.All.Select(t => t.Info.Id));
        var (view, line) = (MissionParameter.View(mission, which.View), MissionParameter.Line(mission, which.Line));
        return stores.Trackers.List(id, range.From, range.To, range.Limit, range.Next, view, line, Channel(mission, which.Channel)).Answer(TrackerValueItem.Of);
    }

    private static string? Channel(MissionFolder mission, string? text) =>
        string.IsNullOrEmpty(text) ? null
        : mission.Plan.Channels.Any(c => c.Name == text) ? text
        : throw ApiProblems.BadRequest(ApiTexts.UnknownName("channel", text, mission.Plan.Channels.Where(c => !c.IsTimeField).Select(c => c.Name)));
}
