using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.Options;
using Phasekeeper.Storage;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>One's own subscriptions. Static: the key of a webhook, shown once, stands in one answer and in no circuit.</summary>
public sealed partial class MyNoticesPage(NoticeDesk desk, Stores stores, IOptions<PhasekeeperOptions> options) : NoticeFormsPage
{
    // Chosen: the last days.
    private const int MostMessages = 20;

    private IReadOnlyList<NoticeSubscriptionRow> mine = [];
    private IReadOnlyList<NoticeMessageRow> last = [];
    private string? key;

    [CascadingParameter]
    private HttpContext Http { get; set; } = default!;

    /// <summary>A new subscription.</summary>
    [SupplyParameterFromForm(FormName = "subscribe")]
    public SubscriptionForm? Wish { get; set; }

    /// <summary>What a button asks for.</summary>
    [SupplyParameterFromForm(FormName = "step")]
    public StepFields? Asked { get; set; }

    private NoticeOptions Options => options.Value.Notices;

    private string Me => Http.User.Identity?.Name ?? "";

    /// <inheritdoc/>
    protected override void Read() => (mine, last) = (stores.Notices.SubscriptionsOf(Me), stores.NoticeQueue.OfPerson(Me, MostMessages));

    private Task SubscribeAsync() => TryAsync(async () =>
    {
        key = await desk.SubscribeAsync(Wish ?? new());
        Said = key is null ? "You are subscribed. Send yourself a trial message." : "You are subscribed. The key with which requests are signed, shown this once:";
        Wish = null;
    });

    private Task StepAsync() => TryAsync(async () =>
    {
        switch (Asked?.Step)
        {
            case "trial":
                await desk.TrialAsync(Asked.Id);
                Said = "The trial message is in the queue; it goes out within seconds. Load the page again for its state.";
                break;
            case "end":
                await desk.EndAsync(Asked.Id);
                Said = "The subscription has ended; what still waited for it is dropped.";
                break;
            case "retry":
                await desk.RetryAsync(Asked.Id);
                Said = "The message is tried again within seconds. Load the page again for its state.";
                break;
            case "drop":
                await desk.DropAsync(Asked.Id);
                Said = "The message is dropped.";
                break;
            default:
                throw new NoticeException("Found no known step; expected trial, retry, drop or end.");
        }
    });

    /// <summary>What a button asks for.</summary>
    public sealed class StepFields
    {
        /// <summary>Id of the subscription or message.</summary>
        public string? Id { get; set; }
        /// <summary>trial, end, retry or drop.</summary>
        public string? Step { get; set; }
    }
}
