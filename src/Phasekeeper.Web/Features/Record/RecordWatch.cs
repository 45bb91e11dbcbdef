using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Record;

/// <summary>
/// Verifies the record at the start, once a day, and when someone asks, and keeps what was found for the banner of every page, the Record page and /readyz. A broken record stops
/// nothing: what is done meanwhile is put on record behind the break.
/// </summary>
public sealed class RecordWatch(Stores stores, ChangeFeed changes, TimeProvider clock, ILogger<RecordWatch> log) : BackgroundService
{
    // Chosen: a change by other hands is told within a day, at the cost of a second or so a day.
    private static readonly TimeSpan Again = TimeSpan.FromDays(1);
    private readonly SemaphoreSlim gate = new(1, 1);
    private RecordReport? report;

    /// <summary>What the last verification found; null before the first one is through.</summary>
    public RecordReport? Report => Volatile.Read(ref report);

    /// <summary>Raised after a verification, on its thread.</summary>
    public event Action? Changed;

    /// <summary>Verifies now; one at a time.</summary>
    public async Task<RecordReport> VerifyAsync(CancellationToken cancel = default)
    {
        await gate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            var found = await Task.Run(Verify, cancel).ConfigureAwait(false);
            Volatile.Write(ref report, found);
            if (!found.IsWhole)
                log.LogCritical("The record of decisions is not as it was written:{NewLine}{Findings}{NewLine}{Advice}", Environment.NewLine, string.Join(Environment.NewLine, found.Findings), Environment.NewLine, RecordReport.Advice);
        }
        finally
        {
            gate.Release();
        }
        changes.Publish(ChangeKind.Record);
        Changed?.Invoke();
        return report!;
    }

    /// <inheritdoc/>
    public override void Dispose()
    {
        base.Dispose();
        gate.Dispose();
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        stores.Database.Recorded += TellPages;
        try
        {
            while (true)
            {
                await VerifyAsync(stoppingToken).ConfigureAwait(false);
                await Task.Delay(Again, clock, stoppingToken).ConfigureAwait(false);
            }
        }
        finally
        {
            stores.Database.Recorded -= TellPages;
        }
    }

    // A record that cannot even be read, for whatever reason, is a finding like others: it is told, and the program goes on.
    private RecordReport Verify()
    {
        try
        {
            return RecordVerifier.Verify(stores.Database);
        }
        catch (Exception error) when (error is not OutOfMemoryException)
        {
            var (file, now) = (stores.Database.Folder.DatabaseFile, Instant.FromDateTimeUtc(clock.GetUtcNow().UtcDateTime));
            return new RecordReport(0, [], now, 0, [new("unreadable", 0, 0, $"The record in {file} and {RecordAnchor.FileName} beside it cannot be read: {error.Message}", "Expected both to be readable by this program.")]);
        }
    }

    private void TellPages() => changes.Publish(ChangeKind.Record);
}
