using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>Something that happened to a flag and may be told.</summary>
/// <param name="Key">Names the event for good: the same event always has the same key.</param>
/// <param name="Kind">What happened; one bit.</param>
/// <param name="Flag">Id of the flag.</param>
/// <param name="Severity">Severity of the flag then.</param>
/// <param name="Time">When, wall clock.</param>
/// <param name="Actor">Who did it; "rules" for the rules.</param>
/// <param name="Note">Why, or the comment; empty where there is none.</param>
public sealed record NoticeEvent(string Key, NoticeKinds Kind, string Flag, FlagSeverity Severity, Instant Time, string Actor, string Note)
{
    /// <summary>Whom alone it concerns; empty = everybody.</summary>
    public IReadOnlyList<string> Concerns { get; init; } = [];

    /// <summary>Whether it is still worth telling: nobody is called for a flag that somebody has, nor told of the raising of one that is withdrawn.</summary>
    /// <param name="shown">State of the flag now.</param>
    public bool IsNeeded(LifeState shown) => Kind switch
    {
        NoticeKinds.Escalation => shown is LifeState.Raised or LifeState.Reopened,
        NoticeKinds.Raised or NoticeKinds.Worsened or NoticeKinds.Reopened => shown != LifeState.Withdrawn,
        _ => true,
    };
}

/// <summary>An event that a subscription wants told, and from when on.</summary>
/// <param name="Subscription">Id of the subscription.</param>
/// <param name="Event">The event.</param>
/// <param name="Due">Not before then, wall clock.</param>
public sealed record NoticeItem(string Subscription, NoticeEvent Event, Instant Due);
