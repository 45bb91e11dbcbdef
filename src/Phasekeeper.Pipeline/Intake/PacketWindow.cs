using System.Runtime.CompilerServices;
using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>A stretch of a source that was framed at once. Valid until the next one is read: the buffer is used again.</summary>
/// <param name="Offset">Its first byte in the source.</param>
/// <param name="Bytes">Its bytes.</param>
/// <param name="Packets">Packets, offsets counted from the stretch's start.</param>
/// <param name="Quarantine">What is no packet.</param>
/// <param name="IsLast">True: the source ends here.</param>
internal sealed record PacketWindow(
    long Offset, ReadOnlyMemory<byte> Bytes, IReadOnlyList<PacketRange> Packets, IReadOnlyList<QuarantineItem> Quarantine, bool IsLast);

/// <summary>
/// Frames a source of any length in a bounded buffer. A window ends after a packet that lies so far before the buffer's end that no
/// byte behind it could change how it was framed: the result is that of framing the whole source at once, except that garbage longer
/// than a window becomes several pieces.
/// </summary>
internal static class PacketWindows
{
    /// <summary>Bytes of a window (chosen: bounds memory; large enough that a commit's cost does not count).</summary>
    public const int DefaultBytes = 8 << 20;

    // A packet is judged by itself, by the header after it, and by packets that might start inside it (with the header after those).
    private const int Margin = 3 * PrimaryHeader.LongestPacket;

    public static async IAsyncEnumerable<PacketWindow> ReadAsync(
        Stream source, long offset, FramingRules rules, int windowBytes = DefaultBytes, [EnumeratorCancellation] CancellationToken cancel = default)
    {
        var buffer = new byte[windowBytes + Margin];
        var filled = 0;
        while (true)
        {
            var read = await source.ReadAtLeastAsync(buffer.AsMemory(filled), buffer.Length - filled, throwOnEndOfStream: false, cancel).ConfigureAwait(false);
            filled += read;
            var isLast = filled < buffer.Length;
            var window = Frame(buffer.AsMemory(0, filled), offset, rules, isLast);
            yield return window;
            if (isLast) yield break;
            offset += window.Bytes.Length;
            filled -= window.Bytes.Length;
            buffer.AsSpan(window.Bytes.Length, filled).CopyTo(buffer);
        }
    }

    private static PacketWindow Frame(ReadOnlyMemory<byte> bytes, long offset, FramingRules rules, bool isLast)
    {
        var framed = PacketFramer.Frame(bytes.Span, rules);
        if (isLast) return new PacketWindow(offset, bytes, framed.Packets, framed.Quarantine, true);
        var limit = bytes.Length - Margin;
        var cut = CutAfterPacket(bytes.Span, framed, limit);
        // No packet at all: whatever fills the buffer is garbage, and the cut goes through it.
        if (cut == 0) cut = limit;
        var quarantine = framed.Quarantine.Where(q => q.Offset < cut)
            .Select(q => q.Offset + q.Length > cut ? q with { Length = cut - q.Offset } : q).ToList();
        return new PacketWindow(offset, bytes[..cut], framed.Packets.Where(p => p.Offset < cut).ToList(), quarantine, false);
    }

    private static int CutAfterPacket(ReadOnlySpan<byte> bytes, FramingResult framed, int limit)
    {
        var cut = 0;
        foreach (var packet in framed.Packets)
        {
            if (packet.Offset + packet.Length > limit) break;
            cut = packet.Offset + packet.Length;
        }
        // Idle packets are not listed, but a run of them is passed over in step.
        while (PrimaryHeader.TryRead(bytes[cut..], out var header) && header.IsIdle && header.Version == 0 && cut + header.PacketLength <= limit
            && !Touches(framed.Quarantine, cut))
            cut += header.PacketLength;
        return cut;
    }

    private static bool Touches(IReadOnlyList<QuarantineItem> items, int offset) => items.Any(q => offset >= q.Offset && offset < q.Offset + q.Length);
}
