using System.Globalization;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>
/// Reads planned activities from an iCalendar file (RFC 5545). The kind comes from CATEGORIES, else from SUMMARY. Recurring and multi-day events
/// are taken; cancelled ones (STATUS:CANCELLED) are told as such. Times without a zone, and whole days, are UTC.
/// </summary>
public static class ActivityFile
{
    /// <summary>No calendar of a mission holds more occurrences; a rule that repeats every second would.</summary>
    private const int MostOccurrences = 100_000;

    /// <summary>Property of ours: topics of flags that the activity is expected to cause, joined by commas (RFC 5545, section 3.8.8.2).</summary>
    public const string ExpectsProperty = "X-PHASEKEEPER-EXPECTS";

    /// <summary>The planned occurrences that touch [from, to), by start and id; see <see cref="ReadEntries"/>.</summary>
    /// <exception cref="ActivityFileException">With every mistake and its line.</exception>
    public static IReadOnlyList<PlannedActivity> Read(string text, string file, Instant from, Instant to, ActivityKinds? kinds = null) =>
        [.. ReadEntries(text, file, from, to, kinds ?? ActivityKinds.Default).Where(e => !e.IsCancelled).Select(e => e.Activity)];

    /// <summary>All occurrences that touch [from, to), cancelled ones too, by start and id.</summary>
    /// <param name="text">Content of the file.</param>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="from">Start of the stretch, e.g. the mission span's.</param>
    /// <param name="to">End of the stretch; recurring events without an end are followed up to here.</param>
    /// <param name="kinds">The mission's kinds.</param>
    /// <exception cref="ActivityFileException">With every mistake and its line.</exception>
    public static IReadOnlyList<CalendarEntry> ReadEntries(string text, string file, Instant from, Instant to, ActivityKinds kinds)
    {
        ArgumentNullException.ThrowIfNull(kinds);
        var errors = ActivityFileCheck.Run(text);
        if (errors.Count > 0) throw new ActivityFileException(file, errors);
        try
        {
            var calendars = CalendarCollection.Load(text);
            var found = new List<CalendarEntry>();
            foreach (var calendar in calendars) Collect(calendar, file, from, to, kinds, found);
            return [.. found.OrderBy(e => e.Activity.From).ThenBy(e => e.Id, StringComparer.Ordinal)];
        }
        catch (Exception e) when (e is ArgumentException or FormatException or System.Runtime.Serialization.SerializationException or InvalidOperationException)
        {
            throw new ActivityFileException(file, [new(1, $"the calendar cannot be read: {e.Message}")]);
        }
    }

    private static void Collect(Ical.Net.Calendar calendar, string file, Instant from, Instant to, ActivityKinds kinds, List<CalendarEntry> found)
    {
        var count = 0;
        foreach (var occurrence in calendar.GetOccurrences<CalendarEvent>())
        {
            var start = Instant.FromDateTimeUtc(occurrence.Period.StartTime.AsUtc);
            if (start >= to) break;
            if (++count > MostOccurrences)
                throw new ActivityFileException(file, [new(1, string.Create(CultureInfo.InvariantCulture, $"the events repeat more than {MostOccurrences} times before {to}; expected an RRULE that ends or is less frequent"))]);
            var source = (CalendarEvent)occurrence.Source;
            var end = occurrence.Period.EffectiveEndTime is { } e ? Instant.FromDateTimeUtc(e.AsUtc) : start;
            // An event without length touches the stretch by its moment.
            if (end < from || (end == from && end > start)) continue;
            var lone = source.RecurrenceIdentifier is not null;
            var repeats = source.RecurrenceRule is not null || lone || source.RecurrenceDates.GetAllPeriods().Any();
            var summary = string.IsNullOrWhiteSpace(source.Summary) ? "(no title)" : source.Summary.Trim();
            var activity = new PlannedActivity(repeats ? $"{source.Uid}@{start}" : source.Uid!, kinds.Of(source.Categories, source.Summary), summary, start, end,
                string.IsNullOrWhiteSpace(source.Description) ? null : source.Description.Trim(), Expects(source));
            var cancelled = string.Equals(source.Status, "CANCELLED", StringComparison.OrdinalIgnoreCase) || string.Equals(calendar.Method, "CANCEL", StringComparison.OrdinalIgnoreCase);
            found.Add(new(source.Uid!, activity, cancelled, source.Sequence, source.LastModified is { } m ? Instant.FromDateTimeUtc(m.AsUtc) : null, lone));
        }
    }

    private static FlagTopic[]? Expects(CalendarEvent source) => source.Properties.FirstOrDefault(p => string.Equals(p.Name, ExpectsProperty, StringComparison.OrdinalIgnoreCase))?.Value is string words
        ? ActivityTopics.Read(words) : null;
}
