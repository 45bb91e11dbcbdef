using System.Globalization;
using Microsoft.AspNetCore.Components;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Changes;
using Phasekeeper.Storage;
using Phasekeeper.Web.Api.Lists;
using Phasekeeper.Web.Shared.Addresses;

namespace Phasekeeper.Web.Features.Record;

/// <summary>The record: state of its chain, its entries newest first. What the list is narrowed to is in the address.</summary>
public sealed partial class RecordPage(Stores stores)
{
    // Chosen: a screen or two.
    private const int PageRows = 50;
    // A change is told in a line: of more values than this the first are.
    private const int ValuesShown = 3;

    private Page<RecordEntry> entries = new([], null);
    private (long Entries, byte[] Hash) head = (0, RecordHash.Beginning);
    private IReadOnlyList<string> people = [];
    private IReadOnlyList<string> kinds = [];
    private RecordFilter wanted = new();
    private (DateOnly? From, DateOnly? To) days;

    /// <summary>One person; absent = anyone.</summary>
    [SupplyParameterFromQuery]
    public string? Person { get; set; }

    /// <summary>One kind; absent = anything.</summary>
    [SupplyParameterFromQuery]
    public string? What { get; set; }

    /// <summary>One subject, whole; absent = all.</summary>
    [SupplyParameterFromQuery]
    public string? Subject { get; set; }

    /// <summary>Words to look for; absent = none.</summary>
    [SupplyParameterFromQuery]
    public string? Q { get; set; }

    /// <summary>First UTC day; absent = the beginning.</summary>
    [SupplyParameterFromQuery]
    public string? From { get; set; }

    /// <summary>Last UTC day; absent = now.</summary>
    [SupplyParameterFromQuery]
    public string? To { get; set; }

    /// <summary>Where an earlier part of the list ended; absent = at the newest entry.</summary>
    [SupplyParameterFromQuery]
    public string? Next { get; set; }

    /// <inheritdoc/>
    protected override bool Concerns(Change change) => change.Kind == ChangeKind.Record;

    /// <inheritdoc/>
    protected override Func<Action> Loader(AddressReader address)
    {
        var (person, what, subject, words, next) = (Text(Person), Text(What), Text(Subject), Text(Q), Text(Next));
        var first = address.Day("from", From, IsDay, "Entries from the beginning are shown");
        var last = address.Day("to", To, IsDay, "Entries up to now are shown");
        return () =>
        {
            var (names, known) = (stores.Record.People(), stores.Record.Kinds());
            person = Known("person", person, names, "someone who is on record");
            what = Known("what", what, known, "a kind that is on record");
            var filter = new RecordFilter(person, what, subject, Start(first), Start(last?.AddDays(1)), words);
            Page<RecordEntry> read;
            try
            {
                read = stores.Record.List(filter, PageRows, next);
            }
            catch (ContinuationException)
            {
                address.Note("next", next!, "what a link to older entries says", "The newest entries are shown");
                read = stores.Record.List(filter, PageRows);
            }
            var newest = stores.Record.Head();
            return () => (entries, head, people, kinds, wanted, days) = (read, newest, names, known, filter, (first, last));
        };

        string? Known(string name, string? value, IReadOnlyList<string> all, string expected)
        {
            if (value is null || all.Contains(value, StringComparer.Ordinal)) return value;
            address.Note(name, value, expected, "Entries of all are shown");
            return null;
        }
    }

    // Years in which a wall clock of this program can be.
    private static bool IsDay(DateOnly day) => day.Year is >= 2000 and < 2200;

    private static Instant? Start(DateOnly? day) => day is { } date ? Instant.FromDateTimeUtc(date.ToDateTime(TimeOnly.MinValue, DateTimeKind.Utc)) : null;

    private static string? DayText(DateOnly? day) => day?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string? Text(string? value) => string.IsNullOrEmpty(value) ? null : value;

    private static string Change(RecordEntry entry)
    {
        var moved = RecordDifferences.Of(entry.Before, entry.After).Where(d => d.Kind != "same").ToArray();
        if (entry.After is null && entry.Before is not null) return "removed";
        var shown = moved.Take(ValuesShown).Select(d => entry.Before is null ? $"{d.Path} {Short(d.After)}" : $"{d.Path} {Short(d.Before)} → {Short(d.After)}");
        return string.Join(", ", shown) + (moved.Length > ValuesShown ? $" and {moved.Length - ValuesShown} more" : "");
    }

    private static string Short(string? value) => value is null ? "–" : value.Length > 40 ? value[..40] + "…" : value;

    private string ExportUrl(string format) => Navigation.GetUriWithQueryParameters("/api/v1/record", new Dictionary<string, object?>
    {
        ["person"] = wanted.Person,
        ["what"] = wanted.What,
        ["subject"] = wanted.Subject,
        ["q"] = wanted.Text,
        ["from"] = wanted.From?.ToString(),
        ["to"] = wanted.To?.ToString(),
        ["limit"] = ListQuery.LargestLimit,
        ["format"] = format,
    });

    // Another choice begins at the newest entry again.
    private string With(string name, string? value) => Navigation.GetUriWithQueryParameters(name == "next"
        ? new Dictionary<string, object?> { ["next"] = value }
        : new Dictionary<string, object?> { [name] = value, ["next"] = null });

    private void Narrow(string name, object? value) => Navigation.NavigateTo(With(name, Text(value as string)));
}
