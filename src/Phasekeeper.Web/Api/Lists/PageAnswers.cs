using Phasekeeper.Storage;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>Turns pages of the stores into answers.</summary>
public static class PageAnswers
{
    /// <summary>The answer with a page's rows, each made by <paramref name="map"/> when it is written.</summary>
    public static ListResult<TRow> Answer<TStored, TRow>(this Page<TStored> page, Func<TStored, TRow> map)
    {
        ArgumentNullException.ThrowIfNull(page);
        return new ListResult<TRow>(new MappedList<TStored, TRow>(page.Items, map), page.Next);
    }

    /// <summary>
    /// A page of a list that is made whole: rows are counted, so the list must not change in its middle between two calls (it is sorted by
    /// something that only grows at the end, or is short).
    /// </summary>
    public static ListResult<TRow> AnswerPart<TRow>(this IReadOnlyList<TRow> all, ListRange range)
    {
        ArgumentNullException.ThrowIfNull(all);
        var page = Page.Of(all, range.Limit, range.Next);
        return new ListResult<TRow>(page.Items, page.Next);
    }
}
