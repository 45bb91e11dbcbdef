namespace Phasekeeper.Storage;

/// <summary>Pages of the single rows within stored vectors: a page may end inside an exposure and the next one goes on there.</summary>
internal static class RowPages
{
    private const int ExposuresAtOnce = 500;

    /// <summary>A page of rows.</summary>
    /// <param name="limit">Most rows of the page.</param>
    /// <param name="next">Where the page before ended; null for the first.</param>
    /// <param name="read">Exposures after a position (time, id; null = from the start), at most so many.</param>
    /// <param name="position">Position (time, id) of an exposure.</param>
    /// <param name="rows">Rows of an exposure with their numbers, ascending.</param>
    public static Page<TRow> Of<TStored, TRow>(
        int limit, string? next, Func<long[]?, int, IReadOnlyList<TStored>> read, Func<TStored, long[]> position, Func<TStored, IEnumerable<(int Number, TRow Row)>> rows)
    {
        // Position of a row: time and id of its exposure, and its number in it. The exposure itself is read again for its remaining rows.
        var last = Continuation.Read(next, 3);
        var (resumeId, resumeRow) = last is null ? (-1, -1) : (last[1], last[2]);
        long[]? after = last is null ? null : [last[0], last[1] - 1];
        var page = new List<TRow>();
        while (true)
        {
            var exposures = read(after, ExposuresAtOnce);
            foreach (var exposure in exposures)
            {
                var at = position(exposure);
                foreach (var (number, row) in rows(exposure))
                {
                    if (at[1] == resumeId && number <= resumeRow) continue;
                    if (page.Count == limit) return new Page<TRow>(page, limit == 0 ? next : Continuation.Of(last!));
                    page.Add(row);
                    last = [at[0], at[1], number];
                }
            }
            if (exposures.Count < ExposuresAtOnce) return new Page<TRow>(page, null);
            after = position(exposures[^1]);
        }
    }
}
