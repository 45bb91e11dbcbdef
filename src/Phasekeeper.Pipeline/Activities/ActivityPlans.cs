using Phasekeeper.Core.Profile;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>Reads the plan of activities from the stores: calendars that were read, and what people made of them.</summary>
public sealed class ActivityPlans(Stores stores, MissionProfile profile, AuxiliaryReader reader)
{
    /// <summary>The plan as the store has it now.</summary>
    public ActivityPlan Current() => Of(stores.Activities.Versions(), null);

    /// <summary>The plan with these versions, e.g. those that a transaction sees.</summary>
    public ActivityPlan With(IReadOnlyList<ActivityVersionRow> versions) => Of(versions, null);

    /// <summary>The plan with one more calendar of the store, which nothing uses yet.</summary>
    /// <exception cref="ActivityFileException">The calendar has mistakes.</exception>
    public ActivityPlan With(AuxiliaryRow calendar)
    {
        ArgumentNullException.ThrowIfNull(calendar);
        return Of(stores.Activities.Versions(), new(calendar.Id, calendar.Name, reader.Activities(calendar)));
    }

    /// <summary>The plan with one more calendar, which is not taken in.</summary>
    public ActivityPlan With(string name, IReadOnlyList<CalendarEntry> entries) => Of(stores.Activities.Versions(), new(long.MaxValue, name, entries));

    /// <summary>The plan without a person's version and those after it.</summary>
    public ActivityPlan Before(long version) => Of([.. stores.Activities.Versions().Where(v => v.Id < version)], null);

    /// <summary>What a calendar's text holds, over the mission's span.</summary>
    /// <exception cref="ActivityFileException">With every mistake and its line.</exception>
    public IReadOnlyList<CalendarEntry> Read(string text, string name) => ActivityFile.ReadEntries(text, name, profile.SpanStart, profile.SpanEnd, profile.ActivityKinds);

    private ActivityPlan Of(IReadOnlyList<ActivityVersionRow> versions, ActivityCalendar? more)
    {
        var calendars = stores.Auxiliary.List(AuxiliaryKind.Activities).Where(r => r.State == "read" && r.Id != more?.File).Select(r => new ActivityCalendar(r.Id, r.Name, reader.Activities(r)));
        return ActivityPlan.Of(more is null ? calendars : calendars.Append(more), versions, profile.ActivityKinds);
    }
}
