using Phasekeeper.Core.Time;
using Phasekeeper.Core.ZeroWind;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Lists;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>Zero wind of a view and line on a day.</summary>
public sealed record ZeroWindItem(
    Instant Day, string View, string Line, ZeroWindStatus Status, double OffsetMs, double SigmaMs, double TrendSigmaMs, double CommonSigmaMs, double DifferenceSigmaMs, IReadOnlyList<double> CovarianceM2S2,
    double WeakestInformation, double StrongestInformation, int BinsUsed, int BinsSeen, double PairedShare, int HoursUsed, int Days, int Orbits, Instant? ExpectedAt, IReadOnlyList<string> Reasons)
{
    /// <summary>Items of an estimate.</summary>
    public static IEnumerable<ZeroWindItem> Of(long day, ZeroWindEstimate e) => e.Offsets.Select((o, i) => new ZeroWindItem(
        Instant.FromUnixDay(day, 0), o.View, e.Line, e.Status, o.OffsetMs, o.SigmaMs, e.TrendSigmaMs[i], e.CommonSigmaMs, e.DifferenceSigmaMs, e.CovarianceM2S2, e.Information.Weakest, e.Information.Strongest,
        e.BinsUsed, e.BinsSeen, e.PairedShare, e.HoursUsed, e.Days, e.Orbits, e.ExpectedAt, e.Reasons));
}

/// <summary>Zero wind, day by day, claimed or not.</summary>
public static class ZeroWindApi
{
    /// <summary>Adds the call.</summary>
    public static void MapZeroWind(this IEndpointRouteBuilder api) => api.MapGet("/zero-wind", ([AsParameters] ListQuery query, Stores stores) =>
    {
        var range = query.Read();
        var (first, last) = (range.From == Instant.MinValue ? long.MinValue : range.From.ToUnixDay().UnixDay, range.To == Instant.MaxValue ? long.MaxValue : range.To.ToUnixDay().UnixDay);
        IReadOnlyList<ZeroWindItem> items = [.. stores.ZeroWinds.Read(first, last).SelectMany(e => ZeroWindItem.Of(e.Day, e.Estimate)).Where(i => i.Day >= range.From && i.Day < range.To)];
        return items.AnswerPart(range);
    }).WithTags("Trackers").WithName("getZeroWind").WithSummary("Zero wind by UTC day, view and line, with covariance; status cannotTellYet: the numbers are not to be used, the reasons say why. A constant yaw error cannot be told apart from a common offset.");
}
