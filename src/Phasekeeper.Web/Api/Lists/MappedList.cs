using System.Collections;

namespace Phasekeeper.Web.Api.Lists;

/// <summary>A list whose rows are made as they are asked for, so that a million stored rows are not held a second time as answers.</summary>
public sealed class MappedList<TStored, TRow>(IReadOnlyList<TStored> stored, Func<TStored, TRow> map) : IReadOnlyList<TRow>
{
    /// <inheritdoc/>
    public int Count => stored.Count;

    /// <inheritdoc/>
    public TRow this[int index] => map(stored[index]);

    /// <inheritdoc/>
    public IEnumerator<TRow> GetEnumerator()
    {
        foreach (var item in stored) yield return map(item);
    }

    IEnumerator IEnumerable.GetEnumerator() => GetEnumerator();
}
