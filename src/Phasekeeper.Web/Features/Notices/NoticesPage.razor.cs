using System.Globalization;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Notices;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>The queue, the escalation list, all subscriptions and how the server is set up, for administrators.</summary>
public sealed partial class NoticesPage(NoticeDesk desk, Stores stores, IOptions<PhasekeeperOptions> options) : NoticeFormsPage
{
    // Chosen: what is still to be done comes first, whatever has been sent since.
    private const int MostOpen = 200, MostSent = 50;

    private IReadOnlyList<NoticeMessageRow> messages = [];
    private IReadOnlyList<NoticeSubscriptionRow> subscriptions = [];
    private IReadOnlyDictionary<string, long> counts = new Dictionary<string, long>();
    private IReadOnlyList<string> unreachable = [];
    private string listText = "";
    private long waitingItems;

    /// <summary>The escalation list as it was typed.</summary>
    [SupplyParameterFromForm(FormName = "escalation")]
    public string? List { get; set; }

    /// <summary>What a button asks for.</summary>
    [SupplyParameterFromForm(FormName = "step")]
    public MyNoticesPage.StepFields? Asked { get; set; }

    private NoticeOptions Options => options.Value.Notices;

    private string CountsText => counts.Count == 0 ? "empty" : string.Join(", ", NoticeStates.All.Where(counts.ContainsKey).Select(s => string.Create(CultureInfo.InvariantCulture, $"{counts[s]} {s.Replace('-', ' ')}")));

    /// <inheritdoc/>
    protected override void Read()
    {
        messages = [.. new[] { NoticeStates.GivenUp, NoticeStates.Sending, NoticeStates.Waiting }.SelectMany(s => stores.NoticeQueue.List(s, MostOpen)), .. new[] { NoticeStates.Sent, NoticeStates.Dropped }.SelectMany(s => stores.NoticeQueue.List(s, MostSent))];
        (subscriptions, counts, waitingItems) = (stores.Notices.Subscriptions(), stores.NoticeQueue.Counts(), stores.Notices.WaitingItems);
        var list = stores.Notices.Escalation();
        listText = string.Join('\n', list.Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.AfterMinutes} {s.Person}")));
        unreachable = [.. list.Select(s => s.Person).Distinct(StringComparer.Ordinal).Where(p => !subscriptions.Any(s => s.Subscription.Person == p && s.Subscription.Kinds.HasFlag(NoticeKinds.Escalation)))];
    }

    private Task SetEscalationAsync() => TryAsync(async () =>
    {
        await desk.SetEscalationAsync(List);
        Said = "The escalation list is kept; flags that wait count from now.";
    });

    private Task StepAsync() => TryAsync(async () =>
    {
        switch (Asked?.Step)
        {
            case "retry":
                await desk.RetryAsync(Asked.Id);
                Said = "The message is tried again within seconds.";
                break;
            case "drop":
                await desk.DropAsync(Asked.Id);
                Said = "The message is dropped.";
                break;
            case "end":
                await desk.EndAsync(Asked.Id);
                Said = "The subscription has ended; what still waited for it is dropped.";
                break;
            default:
                throw new NoticeException("Found no known step; expected retry, drop or end.");
        }
    });
}
