namespace Phasekeeper.Packets.Xtce;

/// <summary>Labels of an enumerated (or boolean) parameter: ranges of raw values, each with a label.</summary>
public sealed class EnumerationTable
{
    private readonly long[] _from;
    private readonly long[] _to;
    private readonly int[] _labelOf;

    /// <summary>Makes a table; ranges must not overlap.</summary>
    /// <exception cref="ArgumentException">Two entries share a value.</exception>
    public EnumerationTable(IEnumerable<(long From, long To, string Label)> entries)
    {
        var sorted = entries.OrderBy(e => e.From).ToArray();
        for (var i = 1; i < sorted.Length; i++)
            if (sorted[i].From <= sorted[i - 1].To)
                throw new ArgumentException($"value {sorted[i].From} has two labels: '{sorted[i - 1].Label}' and '{sorted[i].Label}'.", nameof(entries));
        Labels = sorted.Select(e => e.Label).Distinct().ToArray();
        _from = sorted.Select(e => e.From).ToArray();
        _to = sorted.Select(e => e.To).ToArray();
        _labelOf = sorted.Select(e => Array.IndexOf((string[])Labels, e.Label)).ToArray();
    }

    /// <summary>The distinct labels, by their smallest value.</summary>
    public IReadOnlyList<string> Labels { get; }

    /// <summary>The entries by value: first and last raw value and label.</summary>
    public IEnumerable<(long From, long To, string Label)> Entries => _from.Select((f, i) => (f, _to[i], Labels[_labelOf[i]]));

    /// <summary>Index into <see cref="Labels"/> of a raw value; −1 when the definition does not know it.</summary>
    public int IndexOf(long raw)
    {
        int low = 0, high = _from.Length - 1;
        while (low <= high)
        {
            var middle = (low + high) >> 1;
            if (raw < _from[middle]) high = middle - 1;
            else if (raw > _to[middle]) low = middle + 1;
            else return _labelOf[middle];
        }
        return -1;
    }

    /// <summary>Index of a label; −1 when there is none.</summary>
    public int IndexOfLabel(string label)
    {
        for (var i = 0; i < Labels.Count; i++)
            if (Labels[i] == label) return i;
        return -1;
    }
}
