namespace Phasekeeper.Packets.Xtce;

/// <summary>
/// Finds what a name means (XTCE name references): "/Root/Sub/NAME" from the top, "Sub/NAME", "../NAME" and "NAME" first from the
/// system that says it, then from each one around it.
/// </summary>
internal sealed class NameTable<T> where T : class
{
    private readonly Dictionary<string, T> _byPath = [];

    /// <summary>Adds a thing; false when its path is taken.</summary>
    public bool TryAdd(string path, T thing) => _byPath.TryAdd(path, thing);

    public T? Find(string text, string systemPath)
    {
        if (text.StartsWith('/')) return _byPath.GetValueOrDefault(text);
        for (var from = systemPath; from.Length > 0; from = from[..from.LastIndexOf('/')])
            if (Join(from, text) is { } path && _byPath.TryGetValue(path, out var found)) return found;
        return null;
    }

    private static string? Join(string from, string text)
    {
        foreach (var part in text.Split('/'))
        {
            if (part == ".") continue;
            if (part != "..") from += "/" + part;
            else if (from.LastIndexOf('/') is > 0 and var cut) from = from[..cut];
            else return null;
        }
        return from;
    }
}
