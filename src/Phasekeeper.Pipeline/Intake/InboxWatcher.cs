using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>
/// Takes in what appears under Data/inbox, whatever its name and folder. A file is complete when its size and time have not changed for two
/// seconds; one that was moved into place keeps its time, so it is usually taken at the first look. It is removed after it is
/// committed. A file whose content cannot be taken in is put on record and left alone until it changes; any other failure is tried again after a minute.
/// </summary>
public sealed class InboxWatcher(Stores stores, IntakeService intake, ChangeFeed changes, TimeProvider time, ILogger<InboxWatcher> log) : BackgroundService
{
    /// <summary>How long a file must be at rest.</summary>
    public static readonly TimeSpan AtRest = TimeSpan.FromSeconds(2);

    // Chosen: a full disk or a lock of another program is seldom gone sooner, and the log stays readable.
    private static readonly TimeSpan BeforeNextTry = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan Interval = TimeSpan.FromMilliseconds(500);
    private readonly Dictionary<string, Seen> seen = new(StringComparer.Ordinal);

    /// <summary>One look at the inbox; gives the number of files taken in.</summary>
    public async Task<int> ScanAsync(CancellationToken cancel = default)
    {
        var files = IntakeService.InboxFiles(stores.Database.Folder.Inbox).ToList();
        foreach (var gone in seen.Keys.Except(files.Select(f => f.FullName)).ToList()) seen.Remove(gone);
        var taken = 0;
        foreach (var file in files)
            if (IsComplete(file) && await TakeAsync(file, cancel).ConfigureAwait(false)) taken++;
        return taken;
    }

    /// <summary>Forgets the progress of files that are gone: a later file of that name is a new one. Call it once at the start.</summary>
    public async Task ForgetVanishedAsync(CancellationToken cancel = default)
    {
        foreach (var path in stores.Ingest.PathsInProgress())
            if (!File.Exists(Path.Combine(stores.Database.Folder.Inbox, path)))
                await stores.Database.WriteAsync(t => IngestStore.ForgetProgress(t, path), cancel).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await ForgetVanishedAsync(stoppingToken).ConfigureAwait(false);
        using var timer = new PeriodicTimer(Interval, time);
        do
        {
            try
            {
                await ScanAsync(stoppingToken).ConfigureAwait(false);
            }
            catch (Exception error) when (error is not OperationCanceledException)
            {
                log.LogError(error, "The inbox {Folder} cannot be read; trying again.", stores.Database.Folder.Inbox);
            }
        }
        while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false));
    }

    private bool IsComplete(FileInfo file)
    {
        var state = (file.Length, file.LastWriteTimeUtc);
        if (!seen.TryGetValue(file.FullName, out var known) || known.State != state)
            seen[file.FullName] = known = new Seen(state, time.GetTimestamp(), Refused: false, FailedAt: null);
        if (known.Refused || (known.FailedAt is { } failed && time.GetElapsedTime(failed) < BeforeNextTry)) return false;
        return time.GetUtcNow().UtcDateTime - file.LastWriteTimeUtc >= AtRest || time.GetElapsedTime(known.Since) >= AtRest;
    }

    private async Task<bool> TakeAsync(FileInfo file, CancellationToken cancel)
    {
        try
        {
            if (!await intake.IngestFileAsync(file, cancel).ConfigureAwait(false)) return false;
            seen.Remove(file.FullName);
            changes.Publish(ChangeKind.Ingest);
            return true;
        }
        catch (Exception error) when (error is FileNotFoundException or DirectoryNotFoundException)
        {
            log.LogInformation("{File} vanished from the inbox before it was read.", file.FullName);
            return false;
        }
        catch (InvalidDataException error)
        {
            log.LogError(error, "{File} cannot be taken in; it stays in the inbox until it changes.", file.FullName);
            seen[file.FullName] = seen[file.FullName] with { Refused = true };
            await RecordAsync(file, error, isFinal: true, cancel).ConfigureAwait(false);
            return false;
        }
        catch (Exception error) when (error is not OperationCanceledException)
        {
            // Whatever is wrong with one file must not keep the others out.
            log.LogError(error, "{File} could not be taken in; it is tried again in a minute.", file.FullName);
            var isFirst = seen[file.FullName].FailedAt is null;
            seen[file.FullName] = seen[file.FullName] with { FailedAt = time.GetTimestamp() };
            if (isFirst) await RecordAsync(file, error, isFinal: false, cancel).ConfigureAwait(false);
            return false;
        }
    }

    private async Task RecordAsync(FileInfo file, Exception why, bool isFinal, CancellationToken cancel)
    {
        try
        {
            await intake.RecordFailureAsync(file, why.Message, isFinal, cancel).ConfigureAwait(false);
        }
        catch (Exception error) when (error is not OperationCanceledException)
        {
            log.LogError(error, "That {File} cannot be taken in could not be put on record.", file.FullName);
        }
    }

    private sealed record Seen((long Length, DateTime Written) State, long Since, bool Refused, long? FailedAt);
}
