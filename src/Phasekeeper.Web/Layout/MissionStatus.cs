using Phasekeeper.Core.Time;

namespace Phasekeeper.Web.Layout;

/// <summary>How data flow at the moment, as the header says it.</summary>
public enum FeedState
{
    /// <summary>No packet has ever been accepted.</summary>
    Waiting,
    /// <summary>Everything received is processed.</summary>
    UpToDate,
    /// <summary>Received data are being processed.</summary>
    Processing,
    /// <summary>Processing has stopped on an error; the text says which.</summary>
    Stopped,
}

/// <summary>What the header shows of the mission at one moment.</summary>
/// <param name="Mission">Spacecraft name.</param>
/// <param name="Instrument">Instrument name; null for a mission with housekeeping only.</param>
/// <param name="Time">Mission time: the time of the newest accepted packet; null before the first.</param>
/// <param name="Orbit">Orbit number at that time; null without an orbit.</param>
/// <param name="Feed">How data flow.</param>
/// <param name="LagS">Mission seconds by which finished products trail the newest accepted packet; null when not known.</param>
/// <param name="Waiting">What waits to be processed, in words, e.g. "3 files, 12 MB"; null when nothing waits.</param>
public sealed record MissionSnapshot(
    string Mission, string? Instrument, Instant? Time, int? Orbit, FeedState Feed, double? LagS, string? Waiting)
{
    /// <summary>Before anything is known.</summary>
    public static readonly MissionSnapshot Unknown = new("No mission yet", null, null, null, FeedState.Waiting, null, null);
}

/// <summary>The newest <see cref="MissionSnapshot"/>, shared by all browsers. Written by whoever follows the pipeline; thread-safe.</summary>
public sealed class MissionStatus
{
    private MissionSnapshot current = MissionSnapshot.Unknown;

    /// <summary>The newest snapshot.</summary>
    public MissionSnapshot Current => Volatile.Read(ref current);

    /// <summary>Raised after a change, on the writer's thread.</summary>
    public event Action? Changed;

    /// <summary>Replaces the snapshot; raises <see cref="Changed"/> only if it differs.</summary>
    public void Set(MissionSnapshot snapshot)
    {
        if (Interlocked.Exchange(ref current, snapshot) != snapshot) Changed?.Invoke();
    }
}
