using Microsoft.Extensions.Options;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>
/// Reads what happened to flags and makes messages of it. Items go into the store in the transaction that moves the cursor, messages in the one that marks their items told: a kill between any two steps neither loses
/// nor doubles anything. It only reads what ingest has written, and holds the writer for as long as a few rows take.
/// </summary>
public sealed class NoticeGatherer(Stores stores, FlagTeams teams, FlagGroups groups, PipelineEngine engine, MissionFolder folder, IOptions<PhasekeeperOptions> options, TimeProvider clock)
{
    // Chosen: steps read at once; a first fill has thousands.
    private const int AtOnce = 500;

    /// <summary>One round; gives the number of messages made.</summary>
    public async Task<int> RoundAsync(CancellationToken cancel = default)
    {
        var now = Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
        var standing = Standing();
        await ReadStepsAsync(standing, cancel).ConfigureAwait(false);
        await EscalateAsync(standing, now, cancel).ConfigureAwait(false);
        return await MakeMessagesAsync([.. standing.Select(s => s.Subscription)], now, cancel).ConfigureAwait(false);
    }

    // Who is locked is told nothing.
    private IReadOnlyList<NoticeSubscriptionRow> Standing()
    {
        var people = teams.Current().People.Select(p => p.Name).ToHashSet(StringComparer.Ordinal);
        return [.. stores.Notices.Subscriptions().Where(s => people.Contains(s.Subscription.Person))];
    }

    private async Task ReadStepsAsync(IReadOnlyList<NoticeSubscriptionRow> standing, CancellationToken cancel)
    {
        while (stores.FlagLives.After(stores.Notices.Cursor().Step, AtOnce) is { Count: > 0 } steps)
        {
            var created = standing.ToDictionary(s => s.Subscription.Id, s => s.Created, StringComparer.Ordinal);
            // What happened before somebody asked to be told is no news to them.
            var items = standing.Count == 0 ? [] : NoticePlanner.ItemsOf(steps.SelectMany(s => NoticeEvents.Of(s, stores)), [.. standing.Select(s => s.Subscription)]).Where(i => i.Event.Time >= created[i.Subscription]).ToList();
            await stores.Database.WriteAsync(t => NoticeStore.AddItems(t, items, steps[^1].Id), cancel).ConfigureAwait(false);
        }
    }

    private async Task EscalateAsync(IReadOnlyList<NoticeSubscriptionRow> standing, Instant now, CancellationToken cancel)
    {
        if (stores.Notices.Escalation() is not { Count: > 0 } list) return;
        var events = Escalation.DueBy(stores.Notices.WaitingCriticals(), list, stores.Notices.Cursor().EscalationSince, now);
        var items = stores.Notices.NotYet(NoticePlanner.ItemsOf(events, [.. standing.Select(s => s.Subscription)]));
        if (items.Count > 0) await stores.Database.WriteAsync(t => NoticeStore.AddItems(t, items, 0), cancel).ConfigureAwait(false);
    }

    private async Task<int> MakeMessagesAsync(IReadOnlyCollection<NoticeSubscription> subscriptions, Instant now, CancellationToken cancel)
    {
        var due = stores.Notices.DueBy(now);
        if (due.Count == 0) return 0;
        var flags = due.Select(i => i.Event.Flag).Distinct(StringComparer.Ordinal).Select(stores.Flags.Get).OfType<FlagRow>().ToDictionary(f => f.Id, StringComparer.Ordinal);
        var causes = Causes(flags.Values);
        var round = NoticePlanner.Plan(due, subscriptions, now, flag => causes.GetValueOrDefault(flag, flag), e => e.IsNeeded(stores.FlagLives.Get(e.Flag).Shown));
        NoticeFlag? FlagOf(string id) => flags.GetValueOrDefault(id) is { } row ? Told(row) : null;
        var messages = round.Messages.Select(m => (Message(m, FlagOf, now), m.Items)).ToList();
        await stores.Database.WriteAsync(t => NoticeStore.Write(t, messages, round), cancel).ConfigureAwait(false);
        return messages.Count;
    }

    // Until the mission is open every flag is a cause of its own.
    private Dictionary<string, string> Causes(IReadOnlyCollection<FlagRow> flags) => engine.Mission is not { } mission ? []
        : groups.Around(mission, flags).SelectMany(g => g.Members.Select(m => (m.Id, g.Key))).DistinctBy(m => m.Id).ToDictionary(m => m.Id, m => m.Key, StringComparer.Ordinal);

    private NoticeMessageRow Message(PlannedNotice notice, Func<string, NoticeFlag?> flagOf, Instant now)
    {
        var (mission, address) = (folder.Profile.Spacecraft, options.Value.Notices.Base);
        var words = NoticeText.Of(notice, mission, address, flagOf);
        return new()
        {
            Id = notice.Id,
            Subscription = notice.Subscription.Id,
            Person = notice.Subscription.Person,
            Urgent = notice.Urgent,
            Subject = words.Subject,
            Text = words.Text,
            Html = words.Html,
            Json = NoticeJson.Of(notice, words, mission, address, flagOf),
            Created = now,
            Since = now,
            NextAttempt = now,
            Changed = now,
        };
    }

    private static NoticeFlag Told(FlagRow row) => new(
        row.Id, NoticeEvents.Severity(row.Severity), row.State, row.Message, FlagText.Subject(row), row.Value, row.Limit, row.Unit, row.From, row.FirstOrbit, row.LastOrbit, row.Holder);
}
