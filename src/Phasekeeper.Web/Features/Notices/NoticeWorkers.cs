using Phasekeeper.Pipeline.Changes;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Wakes one of the two parts of notices again and again; what fails is logged and tried at the next turn.</summary>
public abstract class NoticeLoop(TimeProvider clock, ILogger log) : BackgroundService
{
    // Chosen: a notice gathers for 30 s anyway.
    private static readonly TimeSpan Turn = TimeSpan.FromSeconds(10);

    /// <summary>What is done at the start.</summary>
    protected virtual Task BeginAsync(CancellationToken cancel) => Task.CompletedTask;

    /// <summary>One turn.</summary>
    protected abstract Task TurnAsync(CancellationToken cancel);

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        var begun = false;
        while (true)
        {
            try
            {
                if (!begun) await BeginAsync(stoppingToken).ConfigureAwait(false);
                begun = true;
                await TurnAsync(stoppingToken).ConfigureAwait(false);
            }
            // Whatever it is: a fault of notices must not end the program, nor ingest with it.
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                log.LogError(e, "Notices could not be worked on; they are tried again in {Seconds} s.", Turn.TotalSeconds);
            }
            await Task.Delay(Turn, clock, stoppingToken).ConfigureAwait(false);
        }
    }
}

/// <summary>Makes messages of what happened.</summary>
public sealed class NoticeGatherLoop(NoticeGatherer gatherer, ChangeFeed changes, TimeProvider clock, ILogger<NoticeGatherLoop> log) : NoticeLoop(clock, log)
{
    /// <inheritdoc/>
    protected override async Task TurnAsync(CancellationToken cancel)
    {
        if (await gatherer.RoundAsync(cancel).ConfigureAwait(false) > 0) changes.Publish(ChangeKind.Notices);
    }
}

/// <summary>Delivers messages. A loop of its own: a receiver that hangs holds up neither the making of messages nor anything else.</summary>
public sealed class NoticeDeliveryLoop(NoticeDelivery delivery, ChangeFeed changes, TimeProvider clock, ILogger<NoticeDeliveryLoop> log) : NoticeLoop(clock, log)
{
    /// <inheritdoc/>
    protected override Task BeginAsync(CancellationToken cancel) => delivery.ResumeAsync(cancel);

    /// <inheritdoc/>
    protected override async Task TurnAsync(CancellationToken cancel)
    {
        if (await delivery.DeliverDueAsync(cancel).ConfigureAwait(false) > 0) changes.Publish(ChangeKind.Notices);
    }
}
