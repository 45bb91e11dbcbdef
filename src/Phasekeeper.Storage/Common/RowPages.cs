using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>What lists of single rows are ordered by, part by part: it stays as it is when an exposure's results are computed and stored again.</summary>
/// <param name="Time">Time of the exposure.</param>
/// <param name="Kind">Kind of exposure; 0 where there is one kind.</param>
/// <param name="Exposure">Exposure number.</param>
/// <param name="View">View; empty where results are of no view.</param>
/// <param name="Line">Line.</param>
internal readonly record struct RowPlace(Instant Time, int Kind, long Exposure, string View, string Line)
{
    /// <summary>The place before all others of a moment.</summary>
    public static RowPlace Before(Instant time) => new(time, int.MinValue, long.MinValue, "", "");
}

/// <summary>
/// Pages of the single rows within stored vectors, in order of place and row: a page may end inside an exposure and the next one goes on there, also when the exposure was computed
/// and stored again, or is gone, in between. A row that two stored ones hold (it moves from one orbit to the other, and one of them is yet to be computed) is given once, as the one holds it that is read first: wind vectors of one place are read by orbit,
/// so that of the earlier orbit, whichever was stored first.
/// </summary>
internal static class RowPages
{
    private const int StoredAtOnce = 500;

    /// <summary>A page of rows.</summary>
    /// <param name="from">First time.</param>
    /// <param name="limit">Most rows of the page.</param>
    /// <param name="next">Where the page before ended; null for the first.</param>
    /// <param name="read">What is stored from a place on (that place included), in order of place, at most so many; of one place always in the same order.</param>
    /// <param name="place">Place of what is stored; several may share it.</param>
    /// <param name="rows">Rows of what is stored, with their detector rows.</param>
    public static Page<TRow> Of<TStored, TRow>(
        Instant from, int limit, string? next, Func<RowPlace, int, IReadOnlyList<TStored>> read, Func<TStored, RowPlace> place, Func<TStored, IEnumerable<(int Number, TRow Row)>> rows)
    {
        if (limit == 0) return new Page<TRow>([], next);
        var last = Read(next);
        var start = last is { } l && l.Place.Time >= from ? l.Place : RowPlace.Before(from);
        var page = new List<TRow>();
        for (var count = StoredAtOnce; ;)
        {
            var stored = read(start, count);
            var isEnd = stored.Count < count;
            // The last place may be cut in two: it is read again with what comes behind it.
            var whole = isEnd ? stored : [.. stored.TakeWhile(s => place(s) != place(stored[^1]))];
            foreach (var group in whole.GroupBy(place))
                // This order is stable: of two rows of a number the one that was read first comes first, and the other is passed over, also on the next page.
                foreach (var (number, row) in group.SelectMany(rows).OrderBy(r => r.Number))
                {
                    if (last is { } seen && seen.Place == group.Key && number <= seen.Row) continue;
                    if (page.Count == limit) return new Page<TRow>(page, Text(last!.Value));
                    page.Add(row);
                    last = (group.Key, number);
                }
            if (isEnd) return new Page<TRow>(page, null);
            if (whole.Count == 0) count *= 2;
            start = place(stored[^1]);
        }
    }

    private static string Text((RowPlace Place, int Row) last) => Continuation.Of(
        Continuation.Text(last.Place.Time.TaiNanoseconds), Continuation.Text(last.Place.Kind), Continuation.Text(last.Place.Exposure), last.Place.View, last.Place.Line,
        Continuation.Text(last.Row));

    private static (RowPlace Place, int Row)? Read(string? next)
    {
        if (Continuation.ReadParts(next, 6) is not { } parts) return null;
        long Number(int part) => Continuation.Number(next!, parts[part]);
        int Small(int part) => Number(part) is >= int.MinValue and <= int.MaxValue and var n ? (int)n : throw StorageErrors.BadContinuation(next!);
        return (new(new Instant(Number(0)), Small(1), Number(2), parts[3], parts[4]), Small(5));
    }
}
