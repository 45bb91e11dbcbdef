using System.Diagnostics.CodeAnalysis;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Delivers what is in the queue: a few at a time, each with a time-out, and tries again what failed. Nothing else waits for it.</summary>
public sealed class NoticeDelivery(Stores stores, IEnumerable<INoticeSender> senders, NoticeKeys keys, NoticeNeed need, TimeProvider clock, ILogger<NoticeDelivery> log)
{
    /// <summary>Receivers that are talked to at once (chosen: a slow one holds up itself, not the others).</summary>
    public const int AtOnce = 4;

    /// <summary>Longest that one try may take (chosen: a mail server that greets slowly takes 20 s).</summary>
    public static readonly TimeSpan TimeOut = TimeSpan.FromSeconds(60);

    // Chosen: what is read at once; a receiver that hangs must not fill it.
    private const int LargestRound = 500;

    // Longest error kept, characters.
    private const int LongestError = 400;

    /// <summary>At a start: what was on its way when the program ended is tried again.</summary>
    public Task<int> ResumeAsync(CancellationToken cancel = default) => stores.Database.WriteAsync(t => NoticeQueue.Resume(t, Now), cancel);

    /// <summary>Tries everything that is due once; gives how many were tried.</summary>
    public async Task<int> DeliverDueAsync(CancellationToken cancel = default)
    {
        var due = stores.NoticeQueue.DueBy(Now, LargestRound);
        await Parallel.ForEachAsync(due.GroupBy(ReceiverOf), new ParallelOptions { MaxDegreeOfParallelism = AtOnce, CancellationToken = cancel }, async (messages, stop) =>
        {
            // A receiver that did not answer is not waited for again in this round: the rest of its messages stays due.
            foreach (var message in messages)
                if (!await DeliverAsync(message, stop).ConfigureAwait(false)) break;
        }).ConfigureAwait(false);
        return due.Count;
    }

    // All e-mail goes through one server; of webhooks each host is a receiver.
    private static string ReceiverOf(NoticeMessageRow message) => message.Channel == "email" ? message.Channel : NoticeDesk.Where(message.Channel, message.Target);

    // Whether its receiver can be asked again in this round.
    private async Task<bool> DeliverAsync(NoticeMessageRow message, CancellationToken cancel)
    {
        if (need.WhyNot(message) is { } why)
        {
            await stores.Database.WriteAsync(t => NoticeQueue.Spare(t, message.Id, why, Now), cancel).ConfigureAwait(false);
            return true;
        }
        var row = stores.Notices.Subscription(message.Subscription)!;
        if (!message.Urgent && row.Subscription.IsQuiet(Now))
        {
            await stores.Database.WriteAsync(t => NoticeQueue.PutOff(t, message.Id, row.Subscription.AfterQuiet(Now)), cancel).ConfigureAwait(false);
            return true;
        }
        if (!await stores.Database.WriteAsync(t => NoticeQueue.Begin(t, message.Id, Now), cancel).ConfigureAwait(false)) return true;
        if (await TryAsync(message, row.Key, cancel).ConfigureAwait(false) is { } failed)
        {
            await NoteFailureAsync(message, failed).ConfigureAwait(false);
            return failed is not NoticeSendException { IsTimeOut: true };
        }
        // Not cancelled: the receiver has it, and the end of the program is no reason to forget that.
        await stores.Database.WriteAsync(t => NoticeQueue.Sent(t, message.Id, Now), CancellationToken.None).ConfigureAwait(false);
        return true;
    }

    // Whatever goes wrong with one message is noted at it, and shown; the others go on. Only the end of the program leaves it as being sent.
    [SuppressMessage("Design", "CA1031:Do not catch general exception types", Justification = "Noted at the message and shown.")]
    private async Task<Exception?> TryAsync(NoticeMessageRow message, string? key, CancellationToken cancel)
    {
        using var timeOut = new CancellationTokenSource(TimeOut, clock);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(cancel, timeOut.Token);
        try
        {
            await senders.First(s => s.Channel == message.Channel).SendAsync(message, keys.Open(key), both.Token).ConfigureAwait(false);
            return null;
        }
        catch (OperationCanceledException) when (cancel.IsCancellationRequested)
        {
            throw;
        }
        catch (OperationCanceledException)
        {
            return new NoticeSendException($"The receiver did not answer within {TimeOut.TotalSeconds:0} s.") { IsTimeOut = true };
        }
        catch (Exception failed)
        {
            return failed;
        }
    }

    private async Task NoteFailureAsync(NoticeMessageRow message, Exception failed)
    {
        var (now, attempts) = (Now, message.Attempts + 1);
        var error = NoticeText.OneLine(failed.Message, LongestError);
        var next = failed is NoticeSendException { IsFinal: true } ? null : RetryPlan.Next(message.Since, attempts, now, Random.Shared.NextDouble());
        await stores.Database.WriteAsync(t => NoticeQueue.Failed(t, message.Id, error, next, now), CancellationToken.None).ConfigureAwait(false);
        if (next is null) log.LogWarning("The notice {Id} for {Person} is given up after {Attempts} tries: {Error}", message.Id, message.Person, attempts, error);
        else log.LogInformation("The notice {Id} for {Person} could not be delivered (try {Attempts}) and is tried again at {Next}: {Error}", message.Id, message.Person, attempts, next, error);
    }

    private Instant Now => Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime);
}
