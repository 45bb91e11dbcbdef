using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Activities;

namespace Phasekeeper.Web.Features.Activities;

/// <summary>A planned activity as the API gives it.</summary>
/// <param name="Id">Id: the calendar's UID, with the start of the occurrence where the event repeats.</param>
/// <param name="Kind">Id of its kind.</param>
/// <param name="Title">Title.</param>
/// <param name="From">Start (inclusive).</param>
/// <param name="To">End (exclusive).</param>
/// <param name="Status">planned | cancelled.</param>
/// <param name="Note">Further text; null = none.</param>
/// <param name="Expects">Topics of flags that it is expected to cause.</param>
/// <param name="EffectsTo">Until when its effects may last.</param>
/// <param name="Sequence">SEQUENCE that it counts as.</param>
/// <param name="Calendar">Calendar that has it; null = entered here.</param>
/// <param name="ChangedBy">Who made the version that counts; null = the calendar.</param>
/// <param name="Changed">When it was last changed, as its source says; null = not said.</param>
/// <param name="Revision">What a change has to name.</param>
public sealed record ActivityItem(
    string Id, string Kind, string Title, Instant From, Instant To, string Status, string? Note, IReadOnlyList<string> Expects, Instant EffectsTo,
    int Sequence, string? Calendar, string? ChangedBy, Instant? Changed, string Revision)
{
    /// <summary>The item of an entry.</summary>
    public static ActivityItem Of(ActivityEntry e)
    {
        ArgumentNullException.ThrowIfNull(e);
        var a = e.Activity;
        return new(a.Id, a.Kind.Id, a.Summary, a.From, a.To, e.IsCancelled ? "cancelled" : "planned", a.Description, [.. a.ExpectedTopics.Select(ActivityTopics.Word)], a.EffectsTo,
            e.Sequence, e.Calendar, e.Version?.Actor, e.Modified, e.Revision);
    }
}
