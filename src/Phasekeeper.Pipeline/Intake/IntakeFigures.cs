using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Intake;

/// <summary>What <c>GET /api/v1/ingest</c> answers.</summary>
/// <param name="Idle">True: everything received so far is processed to the end.</param>
/// <param name="PendingFiles">Files in the inbox and requests that are not committed yet.</param>
/// <param name="PendingBytes">Their bytes that are not committed yet, as far as known.</param>
/// <param name="Stored">Packets in use.</param>
/// <param name="Duplicates">Repeats that were dropped.</param>
/// <param name="Quarantined">Pieces that wait in quarantine.</param>
/// <param name="LastPacketTime">Mission time; null before the first packet.</param>
public sealed record IntakeFigures(
    bool Idle, long PendingFiles, long PendingBytes, long Stored, long Duplicates, long Quarantined, Instant? LastPacketTime);
