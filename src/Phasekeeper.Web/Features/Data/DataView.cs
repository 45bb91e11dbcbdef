using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Data;

/// <summary>The figures of intake and processing.</summary>
/// <param name="Idle">True: everything received is processed to the end.</param>
/// <param name="PendingFiles">Files and requests not committed yet.</param>
/// <param name="PendingBytes">Their bytes.</param>
/// <param name="Totals">Everything ever received.</param>
/// <param name="Work">Units that wait to be computed, by kind.</param>
/// <param name="Aside">Units that failed and are set aside.</param>
/// <param name="Archive">Files, bytes on disk, blocks, packets and unpacked bytes of the archive.</param>
public sealed record ProgressView(
    bool Idle, long PendingFiles, long PendingBytes, IngestTotals Totals, IReadOnlyDictionary<string, long> Work, IReadOnlyList<SetAsideWork> Aside,
    (long Files, long FileBytes, long Blocks, long Packets, long RawBytes) Archive)
{
    /// <summary>Units that wait, in all.</summary>
    public long Waiting => Work.Values.Sum();
}

/// <summary>The page of data.</summary>
/// <param name="From">Start of the span shown.</param>
/// <param name="To">Mission time.</param>
/// <param name="Progress">Figures.</param>
/// <param name="Log">The newest entries of the log.</param>
/// <param name="Oddities">Gaps, clock jumps and conflicts in the span, newest first.</param>
/// <param name="Quarantine">Items of the chosen state, newest first; null on other tabs.</param>
/// <param name="WaitingByKind">Waiting items by sort of reason.</param>
/// <param name="Files">Orbit, attitude and activity files, newest first; null on other tabs.</param>
public sealed record DataView(
    Instant? From, Instant? To, ProgressView Progress, IReadOnlyList<IngestRow> Log, IReadOnlyList<StreamEventRow> Oddities,
    Page<QuarantineRow>? Quarantine, IReadOnlyDictionary<string, long> WaitingByKind, IReadOnlyList<AuxiliaryRow>? Files);

/// <summary>What the page of data is asked for.</summary>
/// <param name="Tab">arrived, quarantine, files or upload.</param>
/// <param name="SpanS">Length of the span before mission time, s; infinite = everything.</param>
/// <param name="QuarantineState">State of the quarantine items shown.</param>
/// <param name="Next">Continuation of the quarantine list.</param>
public sealed record DataRequest(string Tab, double SpanS, string QuarantineState, string? Next);
