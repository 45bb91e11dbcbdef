namespace Phasekeeper.Packets.Ccsds;

/// <summary>Why bytes could not be decoded.</summary>
public enum QuarantineKind
{
    /// <summary>Bytes between packets that no packet header explains.</summary>
    Garbage,
    /// <summary>The CRC-16 of the last two bytes is not that of the packet.</summary>
    BadChecksum,
    /// <summary>The header's length does not lead to another packet, or does not fit the container.</summary>
    BadLength,
    /// <summary>The bytes end within a packet.</summary>
    TruncatedTail,
    /// <summary>No container of the definition matches the packet, or several do.</summary>
    NoContainer,
    /// <summary>The time code's fields are invalid or its time lies outside the mission's span.</summary>
    ImpossibleTime,
    /// <summary>A value that the definition allows but that cannot be right, e.g. a count that does not fit 16 bits.</summary>
    BadValue,
    /// <summary>A kind, view, line or row that the definition or the instrument does not know.</summary>
    UnknownLabel,
    /// <summary>A segment whose group is not complete.</summary>
    IncompleteSegments,
    /// <summary>Another packet claims the same place with different bytes.</summary>
    Conflict,
}

/// <summary>A stretch of the input that waits for a person: where it is and why it could not be decoded.</summary>
/// <param name="Offset">First byte, counted from the start of the input.</param>
/// <param name="Length">Bytes.</param>
/// <param name="Kind">Sort of reason.</param>
/// <param name="Reason">What was found and what was expected, for people.</param>
public sealed record QuarantineItem(int Offset, int Length, QuarantineKind Kind, string Reason);

/// <summary>Why one packet was refused, without its place.</summary>
public sealed record Refusal(QuarantineKind Kind, string Reason);
