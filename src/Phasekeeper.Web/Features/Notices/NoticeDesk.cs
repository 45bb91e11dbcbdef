using System.Data;
using System.Globalization;
using Microsoft.Extensions.Options;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Flags;
using Phasekeeper.Web.Features.People;
using Phasekeeper.Web.Hosting;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>What people do about notices: each change is one transaction with its entry in the record. Nobody touches another's subscriptions but an administrator, who may end them.</summary>
public sealed class NoticeDesk(Stores stores, NoticeKeys keys, FlagTeams teams, MissionFolder folder, ICurrentActor current, IOptions<PhasekeeperOptions> options, TimeProvider clock)
{
    /// <summary>Most subscriptions of a person (chosen: one a device and purpose).</summary>
    public const int MostOfPerson = 10;

    // Chosen: a receiver is not to be flooded by a button.
    private const double SecondsBetweenTrials = 30;

    /// <summary>Subscribes the one who asks; gives the key of a webhook, which is shown this once.</summary>
    public async Task<string?> SubscribeAsync(SubscriptionForm form)
    {
        ArgumentNullException.ThrowIfNull(form);
        var actor = await current.GetAsync().ConfigureAwait(false);
        var wish = form.Read(Guid.NewGuid().ToString("N"), actor.Name);
        if (stores.Notices.SubscriptionsOf(actor.Name).Count >= MostOfPerson) throw new NoticeException($"You have {MostOfPerson} subscriptions; no more are kept. End one first.");
        var (shown, kept) = wish.Channel == NoticeChannel.Webhook ? keys.New() : ((string?)null, (string?)null);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            NoticeStore.Add(t, new(wish, kept, now));
            RecordStore.Append(t, actor, NoticeRecordKinds.Subscribe, actor.Name, null, StateOf(wish), null, now);
        }).ConfigureAwait(false);
        return shown;
    }

    /// <summary>Ends a subscription: one's own, or as an administrator anybody's.</summary>
    public async Task EndAsync(string? id)
    {
        var row = Find(id);
        var actor = await current.GetAsync().ConfigureAwait(false);
        if (row.Subscription.Person != actor.Name) actor = await current.GetAsync(Roles.Administrator).ConfigureAwait(false);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            if (!NoticeStore.End(t, row.Subscription.Id, now)) throw Gone();
            RecordStore.Append(t, actor, NoticeRecordKinds.Unsubscribe, row.Subscription.Person, StateOf(row.Subscription), null, null, now);
        }).ConfigureAwait(false);
    }

    /// <summary>Puts a trial message for one's own subscription into the queue: it takes the road of all messages.</summary>
    public async Task TrialAsync(string? id)
    {
        var row = Find(id);
        var actor = await current.GetAsync().ConfigureAwait(false);
        if (row.Subscription.Person != actor.Name) throw new NoticeException("A trial message goes to one's own subscriptions only.");
        var now = Now;
        var last = stores.NoticeQueue.OfPerson(actor.Name, 20).Where(m => m.Subscription == id && m.Subject.EndsWith(TrialSubject, StringComparison.Ordinal)).Select(m => m.Created).DefaultIfEmpty(Instant.MinValue).Max();
        if (last > now.AddSeconds(-SecondsBetweenTrials)) throw new NoticeException($"A trial message is less than {SecondsBetweenTrials:0} s old. Look at its state below first.");
        var (key, mission) = (Guid.NewGuid().ToString("N"), folder.Profile.Spacecraft);
        var message = NoticePlanner.IdOf(row.Subscription.Id, [key]);
        var subject = NoticeText.OneLine(mission, 80) + TrialSubject;
        var address = options.Value.Notices.Base;
        var text = $"{actor.Name} asked for this trial message; it tells of no flag. Notices of flags of {mission} will come here.{(address is null ? "" : $"\n\n{address}/account/notices")}\n\n{NoticeText.Advice}\n";
        await stores.Database.WriteAsync(t =>
        {
            NoticeQueue.Add(t, new()
            {
                Id = message,
                Subscription = row.Subscription.Id,
                Person = actor.Name,
                // Whoever asks is awake.
                Urgent = true,
                Subject = subject,
                Text = text,
                Html = $"<!DOCTYPE html><html lang=\"en\"><body><p>{System.Net.WebUtility.HtmlEncode(text.TrimEnd()).Replace("\n\n", "</p><p>", StringComparison.Ordinal)}</p></body></html>",
                Json = NoticeJson.Trial(message, mission, subject, text),
                Created = now,
                Since = now,
                NextAttempt = now,
                Changed = now,
            });
            RecordStore.Append(t, actor, NoticeRecordKinds.Trial, actor.Name, null, StateOf(row.Subscription), null, now);
        }).ConfigureAwait(false);
    }

    /// <summary>Replaces the escalation list.</summary>
    /// <param name="text">A line a step: minutes, blank, name.</param>
    public async Task SetEscalationAsync(string? text)
    {
        var actor = await current.GetAsync(Roles.Administrator).ConfigureAwait(false);
        var steps = StepsOf(text ?? "");
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            var before = stores.Notices.Escalation();
            NoticeStore.SetEscalation(t, steps, now);
            RecordStore.Append(t, actor, NoticeRecordKinds.Escalation, "escalation list", Lines(before), Lines(steps), null, now);
        }).ConfigureAwait(false);
    }

    /// <summary>Tries a message again, now: one's own, or as an administrator anybody's.</summary>
    public Task RetryAsync(string? id) => ChangeAsync(id, NoticeRecordKinds.Retry, NoticeQueue.Retry);

    /// <summary>Takes a message out of the queue: one's own, or as an administrator anybody's.</summary>
    public Task DropAsync(string? id) => ChangeAsync(id, NoticeRecordKinds.Drop, NoticeQueue.Drop);

    /// <summary>Where a message goes, as others may see it: of a webhook the host alone, since the rest may be a secret.</summary>
    public static string Where(string channel, string target) => channel == "webhook" && Uri.TryCreate(target, UriKind.Absolute, out var url) ? url.GetLeftPart(UriPartial.Authority) + "/…" : target;

    private const string TrialSubject = ": trial message";

    private async Task ChangeAsync(string? id, string what, Func<IDbTransaction, string, Instant, bool> change)
    {
        var message = stores.NoticeQueue.Get(id ?? "") ?? throw new NoticeException("There is no such message. Load the page again.");
        var actor = await current.GetAsync().ConfigureAwait(false);
        if (message.Person != actor.Name) actor = await current.GetAsync(Roles.Administrator).ConfigureAwait(false);
        var now = Now;
        await stores.Database.WriteAsync(t =>
        {
            if (!change(t, message.Id, now)) throw new NoticeException($"The message is {message.State}, or its subscription has ended, so there is nothing to do. Load the page again.");
            RecordStore.Append(t, actor, what, message.Id, new { message.State, message.Person, message.Attempts, message.LastError }, null, null, now);
        }).ConfigureAwait(false);
    }

    private IReadOnlyList<EscalationStep> StepsOf(string text)
    {
        var people = teams.Current().People.Where(p => p.Operates).Select(p => p.Name).ToArray();
        var steps = text.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select((line, index) =>
        {
            var parts = line.Split(' ', 2, StringSplitOptions.TrimEntries);
            if (parts.Length < 2 || !int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out var minutes) || minutes is < 1 or > Escalation.LongestMinutes)
                throw new NoticeException($"Line {index + 1}: found '{NoticeText.OneLine(line, 80)}'; expected minutes from 1 to {Escalation.LongestMinutes}, a blank and a name, such as '30 {people.FirstOrDefault() ?? "kim"}'.");
            return new EscalationStep(minutes, people.FirstOrDefault(p => string.Equals(p, parts[1], StringComparison.OrdinalIgnoreCase))
                ?? throw new NoticeException($"Line {index + 1}: nobody who works with flags is called '{NoticeText.OneLine(parts[1], 80)}'; expected one of {string.Join(", ", people)}."));
        }).Distinct().OrderBy(s => s.AfterMinutes).ToArray();
        return steps.Length <= Escalation.MostSteps ? steps : throw new NoticeException($"Found {steps.Length} lines; expected at most {Escalation.MostSteps}.");
    }

    private static string[] Lines(IEnumerable<EscalationStep> steps) => [.. steps.Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.AfterMinutes} min: {s.Person}"))];

    private NoticeSubscriptionRow Find(string? id) => stores.Notices.Subscriptions().FirstOrDefault(s => s.Subscription.Id == id) ?? throw Gone();

    private static NoticeException Gone() => new("There is no such subscription that still stands. Load the page again.");

    // The record is read by all: no more of a webhook than its host.
    private static object StateOf(NoticeSubscription s) => new
    {
        Channel = s.Channel.ToString().ToLowerInvariant(),
        Target = Where(s.Channel.ToString().ToLowerInvariant(), s.Target),
        LeastSeverity = s.LeastSeverity.ToString().ToLowerInvariant(),
        Events = NoticeKindWords.Offered.Where(k => s.Kinds.HasFlag(k)).Select(NoticeKindWords.WordOf).ToArray(),
        When = NoticeWords.When(s),
    };

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
