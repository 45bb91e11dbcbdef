using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>How the items of a message belong together.</summary>
public enum NoticeForm
{
    /// <summary>One event, of one flag or of several flags of one cause.</summary>
    Cause,
    /// <summary>What quiet hours held back.</summary>
    Held,
    /// <summary>A digest.</summary>
    Digest,
    /// <summary>So much at once that it became one message.</summary>
    Many,
}

/// <summary>A message to be made.</summary>
/// <param name="Id">Follows from its subscription and events, so that the same message always has the same id.</param>
/// <param name="Subscription">For whom.</param>
/// <param name="Form">How its items belong together.</param>
/// <param name="Urgent">Whether it may go out in quiet hours.</param>
/// <param name="Items">What it tells, in order of time.</param>
public sealed record PlannedNotice(string Id, NoticeSubscription Subscription, NoticeForm Form, bool Urgent, IReadOnlyList<NoticeItem> Items);

/// <summary>What comes of a round.</summary>
/// <param name="Messages">Messages to be made.</param>
/// <param name="Waiting">Items that wait on, with when they are due now.</param>
/// <param name="Dropped">Items that nobody needs any more: of a subscription that is gone, or of a flag that somebody has taken or that is withdrawn.</param>
public sealed record NoticeRound(IReadOnlyList<PlannedNotice> Messages, IReadOnlyList<NoticeItem> Waiting, IReadOnlyList<NoticeItem> Dropped);

/// <summary>Makes messages of what is due. Pure: every item goes into exactly one of messages, waiting and dropped, and none but urgent ones into a message in quiet hours.</summary>
public static class NoticePlanner
{
    /// <summary>More messages than this for one subscription in one round become one (chosen: a mailbox with more is not read; a first fill raises hundreds of flags).</summary>
    public const int MostAtOnce = 5;

    /// <summary>The items that new events make, one a subscription that wants it. Of two events with one key (a comment mentions a person, and is news of the flag too) the first that is wanted counts.</summary>
    public static IReadOnlyList<NoticeItem> ItemsOf(IEnumerable<NoticeEvent> events, IReadOnlyCollection<NoticeSubscription> subscriptions) =>
        [.. events.SelectMany(e => subscriptions.Select(s => s.ItemOf(e))).OfType<NoticeItem>().DistinctBy(i => (i.Subscription, i.Event.Key))];

    /// <summary>One round.</summary>
    /// <param name="pending">Items that no message has told yet.</param>
    /// <param name="subscriptions">Subscriptions that stand.</param>
    /// <param name="now">Wall clock.</param>
    /// <param name="causeOf">Name of the group of one cause that a flag is in.</param>
    /// <param name="isNeeded">Whether an event is still worth telling, see <see cref="NoticeEvent.IsNeeded"/>.</param>
    public static NoticeRound Plan(IEnumerable<NoticeItem> pending, IReadOnlyCollection<NoticeSubscription> subscriptions, Instant now, Func<string, string> causeOf, Func<NoticeEvent, bool> isNeeded)
    {
        ArgumentNullException.ThrowIfNull(pending);
        ArgumentNullException.ThrowIfNull(causeOf);
        ArgumentNullException.ThrowIfNull(isNeeded);
        var (messages, waiting, dropped) = (new List<PlannedNotice>(), new List<NoticeItem>(), new List<NoticeItem>());
        var byId = subscriptions.ToDictionary(s => s.Id, StringComparer.Ordinal);
        foreach (var group in pending.GroupBy(i => i.Subscription, StringComparer.Ordinal).OrderBy(g => g.Key, StringComparer.Ordinal))
        {
            if (!byId.TryGetValue(group.Key, out var subscription))
            {
                dropped.AddRange(group);
                continue;
            }
            var quiet = subscription.IsQuiet(now);
            var ready = new List<NoticeItem>();
            foreach (var item in group.OrderBy(i => i.Event.Time).ThenBy(i => i.Event.Key, StringComparer.Ordinal))
            {
                if (!isNeeded(item.Event)) dropped.Add(item);
                else if (item.Due > now) waiting.Add(item);
                // The program may have stood still until the next quiet hours began.
                else if (quiet && !subscription.IsUrgent(item.Event)) waiting.Add(item with { Due = subscription.AfterQuiet(now) });
                else ready.Add(item);
            }
            messages.AddRange(Messages(subscription, ready, causeOf));
        }
        return new(messages, waiting, dropped);
    }

    private static IReadOnlyList<PlannedNotice> Messages(NoticeSubscription subscription, List<NoticeItem> ready, Func<string, string> causeOf)
    {
        var urgent = ready.Where(i => subscription.IsUrgent(i.Event)).ToList();
        var calm = ready.Except(urgent).ToList();
        var held = subscription.Digest is null ? calm.Where(i => i.Due > i.Event.Time.AddSeconds(NoticeSubscription.GatherSeconds)).ToList() : calm;
        var made = calm.Except(held).Concat(urgent).GroupBy(i => (Urgent: subscription.IsUrgent(i.Event), Cause: causeOf(i.Event.Flag), i.Event.Kind))
            .Select(g => Message(subscription, NoticeForm.Cause, g.Key.Urgent, [.. g])).ToList();
        // Urgent or not is kept apart: what may ring at night must not take along what may not.
        IReadOnlyList<PlannedNotice> few = made.Count <= MostAtOnce ? made
            : [.. made.GroupBy(m => m.Urgent).Select(g => Message(subscription, NoticeForm.Many, g.Key, [.. g.SelectMany(m => m.Items).OrderBy(i => i.Event.Time)]))];
        return held.Count == 0 ? few : [.. few, Message(subscription, subscription.Digest is null ? NoticeForm.Held : NoticeForm.Digest, false, held)];
    }

    private static PlannedNotice Message(NoticeSubscription subscription, NoticeForm form, bool urgent, IReadOnlyList<NoticeItem> items) =>
        new(IdOf(subscription.Id, items.Select(i => i.Event.Key)), subscription, form, urgent, items);

    /// <summary>Id of a message: 32 hexadecimal digits of a hash of what it tells whom.</summary>
    public static string IdOf(string subscription, IEnumerable<string> keys) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(subscription + "\n" + string.Join('\n', keys.Order(StringComparer.Ordinal)))))[..32];
}
