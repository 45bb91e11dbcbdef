using Phasekeeper.Core.Activities;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>What taking in a calendar would do with an activity.</summary>
public enum PreviewKind
{
    /// <summary>It is not known yet.</summary>
    New,
    /// <summary>It would be another than it is.</summary>
    Changed,
    /// <summary>It would be cancelled.</summary>
    Cancelled,
    /// <summary>It is as it is now.</summary>
    Unchanged,
    /// <summary>The calendar says something else, but what is held is newer and stays.</summary>
    Older,
}

/// <summary>One activity of a preview.</summary>
/// <param name="Kind">What would happen.</param>
/// <param name="Id">The activity.</param>
/// <param name="Before">What it is; null = not known yet.</param>
/// <param name="After">What it would be.</param>
/// <param name="Reason">Why, where that is not plain; else null.</param>
public sealed record PreviewLine(PreviewKind Kind, string Id, ActivityEntry? Before, ActivityEntry After, string? Reason);

/// <summary>What taking in a calendar would change, before anything is taken. One mistake refuses the whole file.</summary>
/// <param name="Lines">Activities of the file, and those that it would cancel, by start.</param>
/// <param name="Errors">Why it would be refused, by line; empty when it would be taken.</param>
public sealed record ActivityPreview(IReadOnlyList<PreviewLine> Lines, IReadOnlyList<ActivityFileError> Errors)
{
    /// <summary>True when taking it in would change something.</summary>
    public bool ChangesSomething => Lines.Any(l => l.Kind is PreviewKind.New or PreviewKind.Changed or PreviewKind.Cancelled);

    /// <summary>The preview of a calendar's text.</summary>
    public static ActivityPreview Of(string text, string name, ActivityPlans plans)
    {
        ArgumentNullException.ThrowIfNull(plans);
        try
        {
            var entries = plans.Read(text, name);
            var (before, after) = (plans.Current(), plans.With(name, entries));
            var own = entries.GroupBy(e => e.Id, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.Last(), StringComparer.Ordinal);
            return new([.. after.Entries.Where(a => own.ContainsKey(a.Id) || IsOther(before.Find(a.Id), a)).Select(a => Line(before.Find(a.Id), a, own.GetValueOrDefault(a.Id)))], []);
        }
        catch (ActivityFileException refused)
        {
            return new([], refused.Errors);
        }
    }

    private static PreviewLine Line(ActivityEntry? before, ActivityEntry after, CalendarEntry? own)
    {
        if (before is null) return new(after.IsCancelled ? PreviewKind.Cancelled : PreviewKind.New, after.Id, null, after, null);
        if (IsOther(before, after))
            return new(after.IsCancelled && !before.IsCancelled ? PreviewKind.Cancelled : PreviewKind.Changed, after.Id, before, after, own is null ? "The calendar's series no longer has it." : null);
        if (own is null || (own.Activity.Equals(after.Activity) && own.IsCancelled == after.IsCancelled)) return new(PreviewKind.Unchanged, after.Id, before, after, null);
        var held = before.Version is { } v ? $"{v.Actor}'s change of {v.Time} (SEQUENCE {v.Sequence})" : $"the calendar {before.Calendar} (SEQUENCE {before.Sequence})";
        return new(PreviewKind.Older, after.Id, before, after, $"The file has SEQUENCE {own.Sequence}{(own.Modified is { } m ? $", LAST-MODIFIED {m}" : " and no LAST-MODIFIED")}; {held} is newer and stays.");
    }

    private static bool IsOther(ActivityEntry? before, ActivityEntry after) => before is null || before.IsCancelled != after.IsCancelled || !before.Activity.Equals(after.Activity);
}
