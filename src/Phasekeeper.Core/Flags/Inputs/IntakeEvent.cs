using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Inputs;

/// <summary>Kinds of things that intake notices.</summary>
public enum IntakeEventKind
{
    /// <summary>Packet times jump against their sequence counts.</summary>
    ClockJump,
    /// <summary>Bytes that could not be decoded went to quarantine.</summary>
    Undecodable,
    /// <summary>Two packets claim the same place with different bytes.</summary>
    Conflict,
}

/// <summary>Something that intake noticed.</summary>
/// <param name="Kind">Kind.</param>
/// <param name="Time">Mission time of it; for garbage the time of the last good packet before it.</param>
/// <param name="Subject">APID or channel it concerns, e.g. "APID 101"; "packets" when not known.</param>
/// <param name="Count">How many packets or stretches of bytes.</param>
/// <param name="AmountS">Clock jump: size, s, positive forwards; else NaN.</param>
/// <param name="Detail">Reason in words, e.g. "checksum"; empty when there is none.</param>
public sealed record IntakeEvent(IntakeEventKind Kind, Instant Time, string Subject, int Count, double AmountS, string Detail);
