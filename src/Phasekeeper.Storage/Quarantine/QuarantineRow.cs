using System.Security.Cryptography;
using System.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A piece that could not be used, on its way into quarantine.</summary>
/// <param name="Kind">Sort of reason, camelCase, e.g. badChecksum, garbage, conflict.</param>
/// <param name="Reason">What was found and what was expected, for people.</param>
/// <param name="Source">File or request that it came with.</param>
/// <param name="Offset">Byte offset in the source.</param>
/// <param name="Length">Its length in the source, bytes.</param>
/// <param name="Bytes">Its bytes; see <see cref="QuarantineStore.LargestKept"/>.</param>
public sealed record QuarantineEntry(string Kind, string Reason, string Source, long Offset, long Length, ReadOnlyMemory<byte> Bytes)
{
    /// <summary>The same piece, with the same sort of reason, is one item however often it comes.</summary>
    public byte[] Hash { get; } = HashOf(Kind, Bytes.Span);

    /// <summary>Time of the good packet next to it in its source: the mission time that it belongs to; null when there is none.</summary>
    public Instant? Near { get; init; }

    private static byte[] HashOf(string kind, ReadOnlySpan<byte> bytes)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(Encoding.UTF8.GetBytes(kind + '\n'));
        hash.AppendData(bytes);
        return hash.GetHashAndReset();
    }
}

/// <summary>An item in quarantine (contract.md section 4, <c>/api/v1/quarantine</c>); its bytes are fetched apart.</summary>
public sealed record QuarantineRow
{
    /// <summary>Id.</summary>
    public required long Id { get; init; }
    /// <summary>Wall clock.</summary>
    public required Instant Received { get; init; }
    /// <summary>File or request that it came with first.</summary>
    public required string Source { get; init; }
    /// <summary>Byte offset in the source.</summary>
    public required long Offset { get; init; }
    /// <summary>Length, bytes.</summary>
    public required long Length { get; init; }
    /// <summary>Sort of reason.</summary>
    public required string Kind { get; init; }
    /// <summary>What was found and what was expected.</summary>
    public required string Reason { get; init; }
    /// <summary>waiting | retried | discarded.</summary>
    public required string State { get; init; }
    /// <summary>Hour bucket whose decoding put it here; null when intake did.</summary>
    public long? Hour { get; init; }
    /// <summary>Bytes kept; less than <see cref="Length"/> where the piece was too large.</summary>
    public required long Kept { get; init; }
}
