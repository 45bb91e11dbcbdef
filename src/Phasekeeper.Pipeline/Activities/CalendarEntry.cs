using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>One occurrence as a calendar gives it.</summary>
/// <param name="Uid">The event's UID (RFC 5545, section 3.8.4.7).</param>
/// <param name="Activity">What is planned; its id is the UID, with the start of the occurrence where the event repeats.</param>
/// <param name="IsCancelled">STATUS:CANCELLED, or a calendar with METHOD:CANCEL.</param>
/// <param name="Sequence">SEQUENCE; 0 when it is absent.</param>
/// <param name="Modified">LAST-MODIFIED; null when it is absent. DTSTAMP does not count: many calendars set it at every export.</param>
/// <param name="IsLone">True for an occurrence that was moved or changed by itself (RECURRENCE-ID).</param>
public sealed record CalendarEntry(string Uid, PlannedActivity Activity, bool IsCancelled, int Sequence, Instant? Modified, bool IsLone)
{
    /// <summary>Id of the activity.</summary>
    public string Id => Activity.Id;
}
