using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.SignOff;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Today;

/// <summary>The morning page: the last 24 h of mission time, or the 24 h before the moment in the address (?to=).</summary>
public sealed partial class TodayPage(Stores stores, SignOffDesk desk)
{
    private readonly TodayQueries queries = new(stores, desk);
    private Shown? view;

    private const int LargestList = 8;
    private const int LargestNumberOfEvents = 300;

    /// <summary>End of the stretch, ISO 8601 UTC; absent = mission time.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? To { get; set; }

    /// <summary>What is shown.</summary>
    /// <param name="Today">Null before the first packet.</param>
    /// <param name="Events">Newest first.</param>
    /// <param name="NoticesLost">Notices that were given up.</param>
    private sealed record Shown(TodayView? Today, IReadOnlyList<EventRow> Events, long NoticesLost);

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (mission, end) = (Mission!, address.Time("to", To, "The last 24 h are shown"));
        return () =>
        {
            var today = queries.Read(mission, end);
            var read = new Shown(today, News(today), stores.NoticeQueue.Counts().GetValueOrDefault(NoticeStates.GivenUp));
            return () => view = read;
        };
    }

    /// <summary>What happened lately; orbits of the past that fill in behind are no news for the morning.</summary>
    private List<EventRow> News(TodayView? today)
    {
        var first = today is { Orbits.Count: > 0 } ? today.Orbits[0].Row.Orbit : int.MinValue;
        return [.. stores.Events.Newest(LargestNumberOfEvents).Where(change => change.Kind != "orbit"
            || !int.TryParse(change.Subject, NumberStyles.Integer, CultureInfo.InvariantCulture, out var orbit) || orbit >= first)];
    }

    private static string Link(Instant to) => $"/?to={Uri.EscapeDataString(to.ToString())}";

    // The address of "now" stays the same while time goes on: a zoom by hand is kept when new data come in.
    private static string PlotUrl(TodayView today) => today.IsNow ? "/api/v1/plots/today"
        : $"/api/v1/plots/today?from={Uri.EscapeDataString(today.From.ToString())}&to={Uri.EscapeDataString(today.To.ToString())}";
}
