using System.Diagnostics.CodeAnalysis;
using Phasekeeper.Core.Notices;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Delivers what is in the queue: a few at a time, each with a time-out, and tries again what failed. Nothing else waits for it.</summary>
public sealed class NoticeDelivery(Stores stores, IEnumerable<INoticeSender> senders, NoticeKeys keys, TimeProvider clock, ILogger<NoticeDelivery> log)
{
    /// <summary>Messages on their way at once (chosen: a slow receiver holds up one, not all).</summary>
    public const int AtOnce = 4;

    /// <summary>Longest that one try may take (chosen: a mail server that greets slowly takes 20 s).</summary>
    public static readonly TimeSpan TimeOut = TimeSpan.FromSeconds(60);

    // Chosen: what is read at once.
    private const int LargestRound = 100;

    // Longest error kept, characters.
    private const int LongestError = 400;

    /// <summary>At a start: what was on its way when the program ended is tried again.</summary>
    public Task<int> ResumeAsync(CancellationToken cancel = default) => stores.Database.WriteAsync(t => NoticeQueue.Resume(t, Now), cancel);

    /// <summary>Tries everything that is due once; gives how many were tried.</summary>
    public async Task<int> DeliverDueAsync(CancellationToken cancel = default)
    {
        var due = stores.NoticeQueue.DueBy(Now, LargestRound);
        await Parallel.ForEachAsync(due, new ParallelOptions { MaxDegreeOfParallelism = AtOnce, CancellationToken = cancel }, async (message, stop) => await DeliverAsync(message, stop).ConfigureAwait(false)).ConfigureAwait(false);
        return due.Count;
    }

    private async Task DeliverAsync(NoticeMessageRow message, CancellationToken cancel)
    {
        var row = stores.Notices.Subscription(message.Subscription)!;
        if (!message.Urgent && row.Subscription.IsQuiet(Now))
        {
            await stores.Database.WriteAsync(t => NoticeQueue.PutOff(t, message.Id, row.Subscription.AfterQuiet(Now)), cancel).ConfigureAwait(false);
            return;
        }
        if (!await stores.Database.WriteAsync(t => NoticeQueue.Begin(t, message.Id, Now), cancel).ConfigureAwait(false)) return;
        if (await TryAsync(message, row.Key, cancel).ConfigureAwait(false) is { } failed) await NoteFailureAsync(message, failed).ConfigureAwait(false);
        // Not cancelled: the receiver has it, and the end of the program is no reason to forget that.
        else await stores.Database.WriteAsync(t => NoticeQueue.Sent(t, message.Id, Now), CancellationToken.None).ConfigureAwait(false);
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
            return new NoticeSendException($"The receiver did not answer within {TimeOut.TotalSeconds:0} s.");
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
