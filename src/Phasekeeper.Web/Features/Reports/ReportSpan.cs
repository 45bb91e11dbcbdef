using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.SignOff;

namespace Phasekeeper.Web.Features.Reports;

/// <summary>The day or week of a report, in UTC.</summary>
/// <param name="Kind">day | week.</param>
/// <param name="First">First day; of a week its Monday.</param>
public sealed record ReportSpan(string Kind, DateOnly First)
{
    /// <summary>Word for one UTC day.</summary>
    public const string Day = "day";

    /// <summary>Word for Monday to Sunday.</summary>
    public const string Week = "week";

    /// <summary>Number of days.</summary>
    public int Days => Kind == Week ? 7 : 1;

    /// <summary>Start.</summary>
    public Instant From => Instant.StartOf(First);

    /// <summary>End, exclusive.</summary>
    public Instant To => Instant.StartOf(First.AddDays(Days));

    /// <summary>First day, days since 1970-01-01.</summary>
    public long FirstDay => DayReader.DayNumber(First);

    /// <summary>Last day, days since 1970-01-01.</summary>
    public long LastDay => FirstDay + Days - 1;

    /// <summary>The days.</summary>
    public IEnumerable<DateOnly> Dates => Enumerable.Range(0, Days).Select(First.AddDays);

    /// <summary>First day as in addresses.</summary>
    public string FirstText => First.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>Heading.</summary>
    public string Title => Kind == Week ? $"Week report {FirstText} to {First.AddDays(6).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}" : $"Day report {FirstText}";

    /// <summary>Address of its page.</summary>
    public string Address => $"/reports/{Kind}/{FirstText}";

    /// <summary>Address of the one before, or after with +1; null beyond the calendar.</summary>
    public string? Neighbour(int step)
    {
        var number = First.DayNumber + step * Days;
        return number < 0 || number > DateOnly.MaxValue.DayNumber - 7 ? null : (this with { First = DateOnly.FromDayNumber(number) }).Address;
    }

    /// <summary>Reads kind and first day; null where they are none: another word, no date, or a week that begins on no Monday.</summary>
    public static ReportSpan? Read(string? kind, string? first) => kind is Day or Week && DateOnly.TryParseExact(first, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date)
        && (kind == Day || date.DayOfWeek == DayOfWeek.Monday) && date.DayNumber < DateOnly.MaxValue.DayNumber - 7 ? new(kind, date) : null;

    /// <summary>The day, or the week of the day, that holds a moment.</summary>
    public static ReportSpan At(string kind, Instant time)
    {
        var date = DateOnly.FromDateTime(time.ToDateTimeUtc());
        return new(kind, kind == Week ? date.AddDays(-(((int)date.DayOfWeek + 6) % 7)) : date);
    }
}
