namespace Phasekeeper.Core.Trackers;

/// <summary>What arrived of an orbit against what was expected. Counts; a negative expectation means that none is known.</summary>
public sealed record OrbitCompleteness
{
    /// <summary>Detector rows of all exposures, views and lines expected from the cadence; negative = not known.</summary>
    public required long ExpectedRows { get; init; }
    /// <summary>Detector rows received.</summary>
    public required long ReceivedRows { get; init; }
    /// <summary>Packets expected: received plus those missing by the sequence counts; negative = not known.</summary>
    public required long ExpectedPackets { get; init; }
    /// <summary>Packets received, without duplicates.</summary>
    public required long ReceivedPackets { get; init; }
    /// <summary>Places where a sequence count is not the successor of the one before.</summary>
    public required int SequenceGaps { get; init; }
}
