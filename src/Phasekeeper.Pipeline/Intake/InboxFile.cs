using System.Security.Cryptography;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>An inbox file that is being read: how far it is committed, and whether it changed under the reader's hands.</summary>
internal sealed class InboxFile
{
    private readonly IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
    private readonly FileInfo file;
    private readonly string path;
    private readonly (long Length, DateTime Written) seen;

    private InboxFile(FileInfo file, string path)
    {
        this.file = file;
        this.path = path;
        seen = (file.Length, file.LastWriteTimeUtc);
    }

    /// <summary>Log entry; 0 before there is one.</summary>
    public long IngestId { get; set; }

    /// <summary>Bytes committed.</summary>
    public long Offset { get; private set; }

    /// <summary>True: all of it is committed and it only has to be removed.</summary>
    public bool IsDone { get; private set; }

    /// <summary>True: it changed while it was read.</summary>
    public bool HasChanged { get; private set; }

    /// <summary>Finds out how far a file is committed; the stream then stands behind that. A file with other bytes is a new one.</summary>
    public static async Task<InboxFile> OpenAsync(Stores stores, Stream stream, FileInfo file, string path, CancellationToken cancel)
    {
        var inbox = new InboxFile(file, path);
        if (stores.Ingest.Progress(path) is not var (id, progress) || progress.Offset > stream.Length) return inbox;
        var left = progress.Offset;
        var buffer = new byte[1 << 16];
        while (left > 0 && await stream.ReadAsync(buffer.AsMemory(0, (int)Math.Min(buffer.Length, left)), cancel).ConfigureAwait(false) is var read and > 0)
        {
            inbox.hash.AppendData(buffer, 0, read);
            left -= read;
        }
        if (left == 0 && inbox.hash.GetCurrentHash().AsSpan().SequenceEqual(progress.Sha256))
        {
            inbox.Offset = progress.Offset;
            inbox.IngestId = id;
            inbox.IsDone = progress.Done && progress.Offset == stream.Length;
            return inbox;
        }
        stream.Position = 0;
        return new InboxFile(file, path);
    }

    /// <summary>True when the file is not what it was when it was opened (then, or from now on).</summary>
    public bool CheckChanged()
    {
        file.Refresh();
        // One that vanished is read to its end: its bytes were complete and are in hand.
        if (file.Exists && (file.Length, file.LastWriteTimeUtc) != seen) HasChanged = true;
        return HasChanged;
    }

    /// <summary>Progress after the next bytes.</summary>
    public InboxProgress Advance(ReadOnlySpan<byte> bytes, bool isLast)
    {
        hash.AppendData(bytes);
        Offset += bytes.Length;
        return new InboxProgress(path, Offset, hash.GetCurrentHash(), isLast);
    }
}
