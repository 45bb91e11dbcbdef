namespace Phasekeeper.Web.Features.Presence;

/// <summary>Someone who looks at a page.</summary>
/// <param name="Name">Name, as people of the team have it.</param>
/// <param name="Since">When they came to it, wall clock.</param>
public sealed record PresentPerson(string Name, DateTimeOffset Since);

/// <summary>
/// Who looks at which page now: people with an open circuit, by the page's path. Kept in memory alone and never written down: it ends with the circuit, and nothing of it can be looked up later.
/// </summary>
public sealed class PagePresence(TimeProvider clock)
{
    private readonly Lock gate = new();
    private readonly Dictionary<object, (string Path, PresentPerson Person)> circuits = [];

    /// <summary>Someone came or went. Called on the thread of whoever did; a handler must not wait.</summary>
    public event Action? Changed;

    /// <summary>A circuit shows a page; the same page again changes nothing.</summary>
    /// <param name="circuit">The circuit, whatever stands for it.</param>
    /// <param name="name">Whose it is.</param>
    /// <param name="path">Path of the page, without its query: different views of one page are the same place.</param>
    public void Enter(object circuit, string name, string path)
    {
        lock (gate)
        {
            if (circuits.TryGetValue(circuit, out var old) && old.Path == path && old.Person.Name == name) return;
            circuits[circuit] = (path, new(name, clock.GetUtcNow()));
        }
        Changed?.Invoke();
    }

    /// <summary>A circuit shows nothing any more; one that is not known changes nothing.</summary>
    public void Leave(object circuit)
    {
        lock (gate)
            if (!circuits.Remove(circuit)) return;
        Changed?.Invoke();
    }

    /// <summary>Others at a page, each once, in the order in which they came. A person's own second window is not another one.</summary>
    public IReadOnlyList<PresentPerson> Others(string name, string path)
    {
        lock (gate)
            return [.. circuits.Values.Where(c => c.Path == path && c.Person.Name != name).GroupBy(c => c.Person.Name, StringComparer.Ordinal)
                .Select(g => g.MinBy(c => c.Person.Since).Person).OrderBy(p => p.Since).ThenBy(p => p.Name, StringComparer.Ordinal)];
    }
}
