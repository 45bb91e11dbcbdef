using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What one step of intake hands to the archive, to be committed as a whole.</summary>
public sealed record ArchiveBatch
{
    /// <summary>Entry of the ingest log that the figures are added to.</summary>
    public required long IngestId { get; init; }
    /// <summary>Name of the source, for quarantine.</summary>
    public required string Source { get; init; }
    /// <summary>Who sent the bytes, so that the batch goes on record; null for what the program fetched by itself (the ingest log knows it).</summary>
    public Actor? Actor { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Now { get; init; }
    /// <summary>Bytes of the source that this batch covers.</summary>
    public required long Bytes { get; init; }
    /// <summary>Whole packets, in any order, repeats allowed.</summary>
    public IReadOnlyList<ArchivedPacket> Packets { get; init; } = [];
    /// <summary>Packets put together from parts (each part is counted, these are not).</summary>
    public IReadOnlyList<ArchivedPacket> Joined { get; init; } = [];
    /// <summary>New parts of segmented packets; repeats allowed.</summary>
    public IReadOnlyList<PacketPart> Parts { get; init; } = [];
    /// <summary>Hashes of the parts, new or waiting, that <see cref="Joined"/> uses up.</summary>
    public IReadOnlyCollection<UInt128> UsedParts { get; init; } = [];
    /// <summary>Pieces for quarantine.</summary>
    public IReadOnlyList<QuarantineEntry> Quarantine { get; init; } = [];
    /// <summary>For an inbox file: how far it is committed with this batch.</summary>
    public InboxProgress? Progress { get; init; }
    /// <summary>True: the source ends here, and its log entry is closed.</summary>
    public bool IsLast { get; init; }
}

/// <summary>How far an inbox file is committed.</summary>
/// <param name="Path">Its path, relative to the inbox.</param>
/// <param name="Offset">Bytes committed.</param>
/// <param name="Sha256">SHA-256 of these bytes.</param>
/// <param name="Done">True: the whole file is committed and only has to be removed.</param>
public sealed record InboxProgress(string Path, long Offset, byte[] Sha256, bool Done);

/// <summary>What became of a batch: every packet and piece is counted in exactly one of the first three.</summary>
/// <param name="Stored">Packets stored (a new packet that takes a place from another one is stored).</param>
/// <param name="Duplicates">Packets, parts and pieces that were known already.</param>
/// <param name="Quarantined">New pieces in quarantine, packets that lose a conflict included.</param>
/// <param name="KnownQuarantined">Of the duplicates: pieces that quarantine held already.</param>
/// <param name="Bytes">Bytes of the source.</param>
public readonly record struct IngestResult(long Stored, long Duplicates, long Quarantined, long KnownQuarantined, long Bytes)
{
    /// <summary>Sum of two.</summary>
    public static IngestResult operator +(IngestResult a, IngestResult b) => new(a.Stored + b.Stored, a.Duplicates + b.Duplicates,
        a.Quarantined + b.Quarantined, a.KnownQuarantined + b.KnownQuarantined, a.Bytes + b.Bytes);
}
