using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Flags.Rehearsal;

/// <summary>What people say that a stretch was.</summary>
public enum EventTruth
{
    /// <summary>Something was there: a flag belongs here.</summary>
    Real,
    /// <summary>Nothing was there: the rule was too tight.</summary>
    FalseAlarm,
}

/// <summary>An event that the team has confirmed: a flag that was settled with a cause, or one that was noted by hand.</summary>
/// <param name="Id">Flag id, or "noted-" with the number.</param>
/// <param name="What">Cause, or what was noted.</param>
/// <param name="Truth">What it was.</param>
/// <param name="Thing">The thing that it is about; null = any of the rule's.</param>
/// <param name="From">Start.</param>
/// <param name="To">End.</param>
/// <param name="FirstOrbit">First orbit that it touches.</param>
/// <param name="LastOrbit">Last orbit that it touches.</param>
public sealed record RehearsalEvent(string Id, string What, EventTruth Truth, FlagThing? Thing, Instant From, Instant To, int FirstOrbit, int LastOrbit)
{
    /// <summary>Whether a flag is about it: the same thing, and an orbit in common.</summary>
    public bool Touches(Flag flag)
    {
        ArgumentNullException.ThrowIfNull(flag);
        return (Thing is null || Thing == flag.Thing) && flag.FirstOrbit <= LastOrbit && flag.LastOrbit >= FirstOrbit;
    }

    /// <summary>What a settled flag's cause says of it; null where it says nothing ("unknown", or no cause).</summary>
    /// <param name="cause">Cause, of the mission's list. "rule too tight" is a false alarm, "unknown" says nothing, every other cause is a thing that was there.</param>
    public static EventTruth? TruthOf(string? cause)
    {
        if (string.IsNullOrWhiteSpace(cause) || cause.Equals(Life.FlagCauses.Unknown, StringComparison.OrdinalIgnoreCase)) return null;
        return cause.Equals(Life.FlagCauses.RuleTooTight, StringComparison.OrdinalIgnoreCase) ? EventTruth.FalseAlarm : EventTruth.Real;
    }
}
