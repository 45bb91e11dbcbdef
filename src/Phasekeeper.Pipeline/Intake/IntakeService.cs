using System.Collections.Concurrent;
using System.Globalization;
using System.Security.Cryptography;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>
/// The one road into the archive, for the inbox, the API and the upload page: bytes are framed, checked, timed and committed window by
/// window; when <see cref="IngestAsync"/> returns, everything is durable. What comes in twice is recognised; the order does not matter.
/// </summary>
public sealed class IntakeService : IDisposable
{
    /// <summary>Largest orbit, attitude or activity file, bytes (chosen: a year of states every minute is about 60 MB).</summary>
    public const int LargestAuxiliaryBytes = 128 << 20;

    private readonly Stores stores;
    private readonly IntakeRules rules;
    private readonly ChangeFeed changes;
    private readonly TimeProvider time;
    private readonly int windowBytes;
    private readonly SemaphoreSlim gate = new(1, 1);
    private readonly ConcurrentDictionary<string, (long Length, DateTime Written)> refused = new(StringComparer.Ordinal);
    private long activeRequests;

    /// <summary>Intake into stores, by the rules of a mission.</summary>
    public IntakeService(Stores stores, IntakeRules rules, ChangeFeed changes, TimeProvider time)
        : this(stores, rules, changes, time, PacketWindows.DefaultBytes)
    {
    }

    internal IntakeService(Stores stores, IntakeRules rules, ChangeFeed changes, TimeProvider time, int windowBytes)
    {
        this.stores = stores;
        this.rules = rules;
        this.changes = changes;
        this.time = time;
        this.windowBytes = windowBytes;
    }

    /// <summary>Largest orbit, attitude or activity file; tests use a smaller one.</summary>
    internal int LargestAuxiliary { get; init; } = LargestAuxiliaryBytes;

    /// <summary>Called before each durable step that is not the archive's; tests stop the process there.</summary>
    internal Action<string> BeforeStep { get; set; } = static _ => { };

    /// <summary>
    /// Takes a request's body in. <paramref name="source"/> names it: road and file, e.g. upload:day-060.pkt; <paramref name="actor"/> is who sent it. Every part that is committed is on record in
    /// its own transaction, so that bytes of a request that broke off are too.
    /// </summary>
    public async Task<IngestResult> IngestAsync(Stream body, string source, Actor actor, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(body);
        Interlocked.Increment(ref activeRequests);
        try
        {
            return await RunAsync(body, source, actor, null, cancel).ConfigureAwait(false);
        }
        finally
        {
            Interlocked.Decrement(ref activeRequests);
        }
    }

    /// <summary>Takes bytes in.</summary>
    public async Task<IngestResult> IngestAsync(ReadOnlyMemory<byte> bytes, string source, Actor actor, CancellationToken cancel = default)
    {
        using var stream = new MemoryStream(bytes.ToArray(), writable: false);
        return await IngestAsync(stream, source, actor, cancel).ConfigureAwait(false);
    }

    /// <summary>
    /// Tries a quarantine item again, after a fix of the definition. When all of it is stored now (or was), it leaves quarantine;
    /// otherwise it waits on.
    /// </summary>
    public async Task<IngestResult> RetryAsync(long quarantineId, Actor actor, CancellationToken cancel = default)
    {
        var item = stores.Quarantine.Get(quarantineId) ?? throw new KeyNotFoundException($"There is no quarantine item with the id {quarantineId}.");
        if (item.Kind == QuarantineStore.Conflict) throw IntakeErrors.ConflictIsNoFault(quarantineId);
        if (item.Kind == QuarantineStore.RefusedFile) throw IntakeErrors.FileIsToBeMended(quarantineId);
        if (item.Kept < item.Length) throw IntakeErrors.NothingToRetry(quarantineId, item.Kept, item.Length);
        // Named .pkt, so that it is never taken for another sort of file.
        var result = await IngestAsync(stores.Quarantine.Bytes(quarantineId), $"retry:{quarantineId}.pkt", actor, cancel).ConfigureAwait(false);
        var isThrough = result.Quarantined + result.KnownQuarantined == 0;
        await stores.Database.WriteAsync(t =>
        {
            if (isThrough) QuarantineStore.SetRetried(t, quarantineId);
            RecordStore.Append(t, actor, RecordKinds.QuarantineRetry, Subject(quarantineId), new { State = QuarantineStore.Waiting, item.Kind, item.Source, item.Offset, item.Length },
                new { State = isThrough ? QuarantineStore.Retried : QuarantineStore.Waiting, item.Kind, item.Source, item.Offset, item.Length, result.Stored, result.Duplicates, result.Quarantined }, null, Now());
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Quarantine);
        return result;
    }

    /// <summary>Discards a quarantine item.</summary>
    public async Task DiscardAsync(long quarantineId, Actor actor, CancellationToken cancel = default)
    {
        var item = stores.Quarantine.Get(quarantineId) ?? throw new KeyNotFoundException($"There is no quarantine item with the id {quarantineId}.");
        await stores.Database.WriteAsync(t =>
        {
            // Refuses one that no longer waits.
            QuarantineStore.Discard(t, quarantineId);
            RecordStore.Append(t, actor, RecordKinds.QuarantineDiscard, Subject(quarantineId), new { State = QuarantineStore.Waiting, item.Kind, item.Source, item.Offset, item.Length },
                new { State = QuarantineStore.Discarded, item.Kind, item.Source, item.Offset, item.Length }, null, Now());
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Quarantine);
    }

    /// <summary>
    /// Puts on record that an inbox file was not taken in. With <paramref name="isFinal"/> it no longer counts as pending until it changes: nothing
    /// more will happen to it by itself.
    /// </summary>
    public async Task RecordFailureAsync(FileInfo file, string reason, bool isFinal, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(file);
        var path = RelativePath(file);
        await stores.Archive.RecoverOnceAsync(Now(), cancel).ConfigureAwait(false);
        await stores.Database.WriteAsync(t =>
        {
            var now = Now();
            // One that was read in part goes on record under the entry that it has.
            var entry = IngestStore.Progress(t, path)?.IngestId ?? IngestStore.Begin(t, $"inbox:{path}", "refused", now);
            IngestStore.Finish(t, entry, now, reason);
            EventStore.Add(t, now, "file", path, $"The file {path} in the inbox was not taken in: {reason}");
        }, cancel).ConfigureAwait(false);
        if (isFinal) refused[path] = (file.Length, file.LastWriteTimeUtc);
        changes.Publish(ChangeKind.Ingest);
    }

    /// <summary>The figures of <c>GET /api/v1/ingest</c>.</summary>
    public IntakeFigures Figures()
    {
        long files = Interlocked.Read(ref activeRequests), bytes = 0;
        foreach (var file in InboxFiles(stores.Database.Folder.Inbox))
        {
            var path = RelativePath(file);
            if (refused.TryGetValue(path, out var state) && state == (file.Length, file.LastWriteTimeUtc)) continue;
            var committed = stores.Ingest.Progress(path)?.Progress.Offset ?? 0;
            files++;
            bytes += Math.Max(0, file.Length - committed);
        }
        var totals = stores.Ingest.Totals();
        return new IntakeFigures(files == 0 && stores.Work.IsEmpty, files, bytes, totals.Stored, totals.Duplicates, totals.Quarantined, totals.LastPacketTime);
    }

    /// <inheritdoc/>
    public void Dispose() => gate.Dispose();

    internal static IEnumerable<FileInfo> InboxFiles(string inbox) =>
        new DirectoryInfo(inbox).EnumerateFiles("*", new EnumerationOptions { RecurseSubdirectories = true, IgnoreInaccessible = true, AttributesToSkip = 0 })
            .Where(f => f.Exists).OrderBy(f => f.FullName, StringComparer.Ordinal).ToList();

    internal string RelativePath(FileInfo file) => Path.GetRelativePath(stores.Database.Folder.Inbox, file.FullName).Replace('\\', '/');

    /// <summary>
    /// Takes an inbox file in, goes on where a kill cut it off, and removes it once it is committed. False: it changed while it was read
    /// (what is committed stays; the rest is read when it is at rest).
    /// </summary>
    internal async Task<bool> IngestFileAsync(FileInfo file, CancellationToken cancel)
    {
        var path = RelativePath(file);
        long entry;
        await using (var stream = new FileStream(file.FullName, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, 1 << 16, useAsync: false))
        {
            var inbox = await InboxFile.OpenAsync(stores, stream, file, path, cancel).ConfigureAwait(false);
            if (!inbox.IsDone)
            {
                await RunAsync(stream, $"inbox:{path}", Actor.System, inbox, cancel).ConfigureAwait(false);
                if (inbox.HasChanged) return false;
            }
            entry = inbox.IngestId;
        }
        BeforeStep("removeInboxFile");
        File.Delete(file.FullName);
        BeforeStep("forgetInboxFile");
        await stores.Database.WriteAsync(t =>
        {
            IngestStore.ForgetProgress(t, path);
            IngestStore.ClearError(t, entry);
        }, cancel).ConfigureAwait(false);
        return true;
    }

    private async Task<IngestResult> RunAsync(Stream body, string source, Actor actor, InboxFile? inbox, CancellationToken cancel)
    {
        // What a kill left behind is put in order before anything new is written beside it.
        await stores.Archive.RecoverOnceAsync(Now(), cancel).ConfigureAwait(false);
        var start = inbox?.Offset ?? 0;
        var head = new byte[AuxiliaryRecognizer.HeadBytes];
        var headLength = await body.ReadAtLeastAsync(head, head.Length, throwOnEndOfStream: false, cancel).ConfigureAwait(false);
        await using var whole = new HeadedStream(head.AsMemory(0, headLength), body);
        var auxiliary = start == 0 ? AuxiliaryRecognizer.Recognize(source, head.AsSpan(0, headLength)) : null;
        return auxiliary is { } known
            ? await IngestAuxiliaryAsync(whole, source, actor, known.Kind, known.Format, inbox, cancel).ConfigureAwait(false)
            : await IngestPacketsAsync(whole, source, actor, start, inbox, cancel).ConfigureAwait(false);
    }

    private async Task<IngestResult> IngestPacketsAsync(Stream body, string source, Actor actor, long start, InboxFile? inbox, CancellationToken cancel)
    {
        var sorter = new PacketSorter(rules);
        var total = default(IngestResult);
        var id = inbox is { IngestId: > 0 } ? inbox.IngestId : await BeginAsync(source, inbox, cancel).ConfigureAwait(false);
        try
        {
            await foreach (var window in PacketWindows.ReadAsync(body, start, rules.Plan.FramingRules, windowBytes, cancel).ConfigureAwait(false))
            {
                if (window.IsLast && inbox is not null && inbox.CheckChanged()) return total;
                sorter.Sort(window, source);
                total += await CommitAsync(sorter, window, source, inbox is null ? actor : null, id, inbox?.Advance(window.Bytes.Span, window.IsLast), cancel).ConfigureAwait(false);
                changes.Publish(ChangeKind.Ingest);
            }
        }
        catch (Exception error) when (inbox is null)
        {
            // An inbox file goes on later under the same entry; a request does not.
            await stores.Database.WriteAsync(t => IngestStore.Finish(t, id, Now(), error.Message), CancellationToken.None).ConfigureAwait(false);
            throw;
        }
        return total;
    }

    // With an inbox file the entry and its progress begin together, so that a kill before the first commit leaves no second entry.
    private async Task<long> BeginAsync(string source, InboxFile? inbox, CancellationToken cancel)
    {
        var id = await stores.Database.WriteAsync(t =>
        {
            var entry = IngestStore.Begin(t, source, "packets", Now());
            if (inbox is not null) IngestStore.SetProgress(t, entry, inbox.Advance([], isLast: false));
            return entry;
        }, cancel).ConfigureAwait(false);
        if (inbox is not null) inbox.IngestId = id;
        return id;
    }

    private async Task<IngestResult> CommitAsync(PacketSorter sorter, PacketWindow window, string source, Actor? actor, long id, InboxProgress? progress, CancellationToken cancel)
    {
        // Parts are matched with those that wait; nobody else may take or add some until this is committed.
        await gate.WaitAsync(cancel).ConfigureAwait(false);
        try
        {
            var joined = new List<ArchivedPacket>();
            var used = new List<UInt128>();
            foreach (var group in sorter.Parts.GroupBy(p => p.Apid).OrderBy(g => g.Key))
            {
                var fresh = group.DistinctBy(p => p.Hash).Where(p => !stores.Archive.HoldsPart(p.Hash));
                var (packets, parts) = sorter.Join([.. stores.Archive.WaitingParts(group.Key), .. fresh], source);
                joined.AddRange(packets);
                used.AddRange(parts);
            }
            return await stores.Archive.CommitAsync(new ArchiveBatch
            {
                IngestId = id,
                Source = source,
                Actor = actor,
                Now = Now(),
                Bytes = window.Bytes.Length,
                Packets = sorter.Packets,
                Joined = joined,
                Parts = sorter.Parts,
                UsedParts = used,
                Quarantine = sorter.Quarantine,
                Progress = progress,
                IsLast = window.IsLast,
            }, cancel).ConfigureAwait(false);
        }
        finally
        {
            gate.Release();
        }
    }

    private async Task<IngestResult> IngestAuxiliaryAsync(Stream body, string source, Actor actor, string kind, string format, InboxFile? inbox, CancellationToken cancel)
    {
        using var content = new MemoryStream();
        var buffer = new byte[1 << 16];
        while (await body.ReadAsync(buffer, cancel).ConfigureAwait(false) is var read and > 0)
        {
            content.Write(buffer, 0, read);
            if (content.Length > LargestAuxiliary) throw IntakeErrors.AuxiliaryTooLarge(source, LargestAuxiliary);
        }
        if (inbox is not null && inbox.CheckChanged()) return default;
        var bytes = content.ToArray();
        var progress = inbox?.Advance(bytes, isLast: true);
        var name = Path.GetFileName(source[(source.IndexOf(':', StringComparison.Ordinal) + 1)..]);
        // The stage that reads it would refuse it too, but its sender is to know now.
        var refusal = rules.RefusalOf(kind, format, name, bytes);
        var (id, result) = await stores.Database.WriteAsync(t =>
        {
            var now = Now();
            var (file, added) = AuxiliaryStore.Add(t, kind, format, name, source, bytes, now);
            var entry = IngestStore.Begin(t, source, format, now);
            var counted = refusal is null ? new IngestResult(added ? 1 : 0, added ? 0 : 1, 0, 0, bytes.Length)
                : QuarantineStore.Add(t, new QuarantineEntry(QuarantineStore.RefusedFile, refusal, source, 0, bytes.Length, bytes), now) ? new IngestResult(0, 0, 1, 0, bytes.Length)
                : new IngestResult(0, 1, 0, 1, bytes.Length);
            IngestStore.Add(t, entry, counted.Bytes, counted.Stored, counted.Duplicates, counted.Quarantined, null, null);
            IngestStore.Finish(t, entry, now);
            if (progress is not null) IngestStore.SetProgress(t, entry, progress);
            RecordStore.Append(t, actor, RecordKinds.FileReceive, name, null,
                new { Id = file, Kind = kind, Format = format, Source = source, Bytes = bytes.Length, Sha256 = SHA256.HashData(bytes), KnownAlready = !added, Refused = refusal, Ingest = entry }, null, now);
            return (file, counted);
        }, cancel).ConfigureAwait(false);
        changes.Publish(ChangeKind.Auxiliary, id);
        return result;
    }

    private static string Subject(long quarantineId) => string.Create(CultureInfo.InvariantCulture, $"quarantine item {quarantineId}");

    private Instant Now() => Instant.FromDateTimeUtc(time.GetUtcNow().UtcDateTime);
}
