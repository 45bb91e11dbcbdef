using Phasekeeper.Core.Statistics;

namespace Phasekeeper.Core.Trackers;

/// <summary>Detector rows received / expected.</summary>
public sealed class CompletenessTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("completeness", "Completeness of fringe rows", "1", false, false,
        "Detector rows received on the orbit divided by the rows that the cadence promises (scene and lamp, all views and lines).",
        "Lost downlinks, corrupted packets, an instrument that was off, a planned pause.",
        "Look for the missing stretch on the Data page; ask for a replay before the recorder is overwritten. A planned pause explains it.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Completeness is not { ExpectedRows: > 0 } c) return;
        output.Add(null, null, (double)c.ReceivedRows / c.ExpectedRows, double.NaN, Counting.Clip(c.ExpectedRows));
    }
}

/// <summary>Packets received / expected by the sequence counts.</summary>
public sealed class PacketCompletenessTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("packet-completeness", "Completeness of packets", "1", false, false,
        "Packets received on the orbit divided by those received plus those that the sequence counts show to be missing.",
        "Lost downlinks, corrupted packets.",
        "Compare with quarantine: packets that arrived damaged can be retried after a fix; lost ones need a replay.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Completeness is not { ExpectedPackets: > 0 } c) return;
        output.Add(null, null, (double)c.ReceivedPackets / c.ExpectedPackets, double.NaN, Counting.Clip(c.ExpectedPackets));
    }
}

/// <summary>Breaks in the sequence counts.</summary>
public sealed class SequenceGapsTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("sequence-gaps", "Sequence gaps", "count", false, false,
        "Number of places on the orbit where a packet's sequence count is not the successor of the one before it (same APID).",
        "Lost or corrupted packets, a restart of the instrument or its computer.",
        "A single large gap is a lost contact; many small ones point to the link or the recorder.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        if (orbit.Input.Completeness is not { } c) return;
        output.Add(null, null, c.SequenceGaps, double.NaN, Counting.Clip(c.ReceivedPackets));
    }
}

/// <summary>Time from measurement to ingest.</summary>
public sealed class LatencyTracker : ITracker
{
    /// <inheritdoc/>
    public TrackerInfo Info { get; } = new("latency", "Latency", "s", false, false,
        "Median time from measurement to ingest over the orbit's packets; only for a mission in live use.",
        "Contact schedule, relay and ground network, backlog of the recorder.",
        "When it grows, ask the ground segment first; the values of the orbit stay provisional until its data are complete.");

    /// <inheritdoc/>
    public TrackerBaseline Baseline => TrackerBaseline.None;

    /// <inheritdoc/>
    public void Compute(OrbitAnalysis orbit, TrackerOutput output)
    {
        var latency = orbit.Input.LatencyS;
        if (latency.Count == 0) return;
        output.Add(null, null, RobustStatistics.Median(latency), RobustStatistics.MedianSigma(latency), latency.Count);
    }
}

/// <summary>Counts as the int that a value carries.</summary>
internal static class Counting
{
    /// <summary>A long count cut to int's range.</summary>
    public static int Clip(long count) => (int)Math.Clamp(count, 0, int.MaxValue);
}
