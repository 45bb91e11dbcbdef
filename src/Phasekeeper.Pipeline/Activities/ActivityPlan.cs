using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>A calendar that was taken in.</summary>
/// <param name="File">Its id: grows in the order in which calendars came.</param>
/// <param name="Name">Its name.</param>
/// <param name="Entries">What it holds.</param>
public sealed record ActivityCalendar(long File, string Name, IReadOnlyList<CalendarEntry> Entries);

/// <summary>
/// All activities, as calendars and people give them together: a pure function of both. For one activity the higher SEQUENCE counts; with the same SEQUENCE the later LAST-MODIFIED; between two calendars that leave
/// it at that, the one that came later. What a person changes here has a SEQUENCE one higher than what it was laid over and the moment of the change as LAST-MODIFIED, so a calendar takes an activity back when it says more than that.
/// Nothing goes: an occurrence that a newer calendar's series no longer has is shown as cancelled.
/// </summary>
public sealed class ActivityPlan
{
    private readonly Dictionary<string, ActivityEntry> byId;

    private ActivityPlan(IEnumerable<ActivityEntry> entries)
    {
        Entries = [.. entries.OrderBy(e => e.Activity.From).ThenBy(e => e.Id, StringComparer.Ordinal)];
        Active = [.. Entries.Where(e => !e.IsCancelled).Select(e => e.Activity)];
        byId = Entries.ToDictionary(e => e.Id, StringComparer.Ordinal);
    }

    /// <summary>All of them, cancelled ones too, by start and id.</summary>
    public IReadOnlyList<ActivityEntry> Entries { get; }

    /// <summary>Those that are planned, by start and id.</summary>
    public IReadOnlyList<PlannedActivity> Active { get; }

    /// <summary>One of them; null when there is none.</summary>
    public ActivityEntry? Find(string id) => byId.GetValueOrDefault(id);

    /// <summary>The plan that follows from calendars and people's versions.</summary>
    public static ActivityPlan Of(IEnumerable<ActivityCalendar> calendars, IEnumerable<ActivityVersionRow> versions, ActivityKinds kinds)
    {
        ArgumentNullException.ThrowIfNull(calendars);
        ArgumentNullException.ThrowIfNull(versions);
        ArgumentNullException.ThrowIfNull(kinds);
        var all = calendars.SelectMany(c => c.Entries.Select(e => new Given(e, c))).ToArray();
        var entries = all.GroupBy(g => g.Entry.Uid, StringComparer.Ordinal).SelectMany(OfEvent).ToDictionary(e => e.Id, StringComparer.Ordinal);
        foreach (var history in versions.GroupBy(v => v.Activity, StringComparer.Ordinal))
        {
            var last = history.MaxBy(v => v.Id)!;
            if (entries.GetValueOrDefault(history.Key) is not { } calendar) entries[history.Key] = Of(last, kinds);
            else entries[history.Key] = IsNewer(calendar, last) ? calendar with { Replaced = last } : Of(last, kinds) with { Calendar = calendar.Calendar };
        }
        return new(entries.Values);
    }

    private static bool IsNewer(ActivityEntry calendar, ActivityVersionRow version) =>
        calendar.Sequence != version.Sequence ? calendar.Sequence > version.Sequence : calendar.Modified is { } modified && modified > version.Time;

    // An event's occurrences are those of the newest calendar that has the whole event; single ones that were changed by themselves may stand in a still newer one.
    private static IEnumerable<ActivityEntry> OfEvent(IGrouping<string, Given> ofUid)
    {
        var whole = ofUid.Where(g => !g.Entry.IsLone).Select(g => g.Rank).DefaultIfEmpty((int.MinValue, Instant.MinValue, long.MinValue)).Max();
        var newest = ofUid.Where(g => !g.Entry.IsLone && g.Rank == whole).Select(g => g.Calendar.File).Distinct().DefaultIfEmpty(long.MinValue).Max();
        foreach (var ofId in ofUid.GroupBy(g => g.Entry.Id, StringComparer.Ordinal))
        {
            var counts = ofId.Where(g => g.Calendar.File == newest || g.Rank.CompareTo(whole) >= 0).ToArray();
            var best = (counts.Length > 0 ? counts : [.. ofId]).MaxBy(g => g.Rank)!;
            yield return new()
            {
                Activity = best.Entry.Activity,
                IsCancelled = best.Entry.IsCancelled || counts.Length == 0,
                Sequence = best.Entry.Sequence,
                Modified = best.Entry.Modified,
                Calendar = best.Calendar.Name,
            };
        }
    }

    private static ActivityEntry Of(ActivityVersionRow v, ActivityKinds kinds) => new()
    {
        Activity = new(v.Activity, kinds.OrOther(v.Kind), v.Title, v.From, v.To, v.Note.Length == 0 ? null : v.Note, v.Expects is null ? null : ActivityTopics.Read(v.Expects)),
        IsCancelled = v.Status == ActivityVersionRow.Cancelled,
        Sequence = (int)v.Sequence,
        Modified = v.Time,
        Version = v,
    };

    private sealed record Given(CalendarEntry Entry, ActivityCalendar Calendar)
    {
        public (int Sequence, Instant Modified, long File) Rank => (Entry.Sequence, Entry.Modified ?? Instant.MinValue, Calendar.File);
    }
}
