using Phasekeeper.Packets.Ccsds;

namespace Phasekeeper.Packets.Decoding;

/// <summary>Where the next entry can lie, in bits from the packet's start, while a container is compiled: bounds, equal when fixed.</summary>
internal struct Layout
{
    /// <summary>No packet is longer.</summary>
    public const long Longest = PrimaryHeader.LongestPacket * 8L;

    public long CursorLeast, CursorMost, EndLeast, EndMost, StartLeast, StartMost;

    /// <summary>The place when it is always the same; −1 otherwise.</summary>
    public readonly int Fixed => CursorLeast == CursorMost ? (int)CursorLeast : -1;

    public void MoveTo(bool fromStart, long least, long most)
    {
        CursorLeast = Math.Clamp((fromStart ? StartLeast : CursorLeast) + least, 0, Longest);
        CursorMost = Math.Clamp((fromStart ? StartMost : CursorMost) + most, 0, Longest);
    }

    public void Take(long least, long most)
    {
        CursorLeast = Math.Min(CursorLeast + least, Longest);
        CursorMost = Math.Min(CursorMost + most, Longest);
        EndLeast = Math.Max(EndLeast, CursorLeast);
        EndMost = Math.Max(EndMost, CursorMost);
    }

    /// <summary>Either this layout or the other, where a condition decides.</summary>
    public readonly Layout Or(in Layout other) => new()
    {
        CursorLeast = Math.Min(CursorLeast, other.CursorLeast),
        CursorMost = Math.Max(CursorMost, other.CursorMost),
        EndLeast = Math.Min(EndLeast, other.EndLeast),
        EndMost = Math.Max(EndMost, other.EndMost),
        StartLeast = StartLeast,
        StartMost = StartMost,
    };
}
