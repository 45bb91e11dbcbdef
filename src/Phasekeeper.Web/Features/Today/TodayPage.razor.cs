using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Today;

/// <summary>The morning page: the last 24 h of mission time, or the 24 h before the moment in the address (?to=).</summary>
public sealed partial class TodayPage(Stores stores)
{
    private readonly TodayQueries queries = new(stores);
    private Shown? view;

    private const int LargestList = 8;
    private const int LargestNumberOfEvents = 60;

    /// <summary>End of the stretch, ISO 8601 UTC; absent = mission time.</summary>
    [SupplyParameterFromQuery(Name = "to")]
    public string? To { get; set; }

    /// <summary>What is shown.</summary>
    /// <param name="Today">Null before the first packet.</param>
    /// <param name="Events">Newest first.</param>
    private sealed record Shown(TodayView? Today, IReadOnlyList<EventRow> Events);

    /// <inheritdoc/>
    protected override Func<Action> Loader()
    {
        var (mission, end) = (Mission!, Instant.TryParseUtc(To, out var moment) ? moment : (Instant?)null);
        return () =>
        {
            var read = new Shown(queries.Read(mission, end), stores.Events.Newest(LargestNumberOfEvents));
            return () => view = read;
        };
    }

    private static string Link(Instant to) => $"/?to={Uri.EscapeDataString(to.ToString())}";

    private static string PlotUrl(TodayView today) =>
        $"/api/v1/plots/today?from={Uri.EscapeDataString(today.From.ToString())}&to={Uri.EscapeDataString(today.To.ToString())}";
}
