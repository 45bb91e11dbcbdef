using System.Runtime.CompilerServices;

namespace Phasekeeper.Pipeline.Changes;

/// <summary>Something that pages show has changed.</summary>
/// <param name="Kind">What: see <see cref="ChangeKind"/>.</param>
/// <param name="Key">Which: hour, orbit, flag id; null for "many, read again".</param>
public readonly record struct Change(string Kind, long? Key);

/// <summary>Kinds of changes.</summary>
public static class ChangeKind
{
    /// <summary>Ingest figures; no key.</summary>
    public const string Ingest = "ingest";
    /// <summary>An hour of telemetry and fringes; key = hour bucket.</summary>
    public const string Hour = "hour";
    /// <summary>An orbit; key = orbit number.</summary>
    public const string Orbit = "orbit";
    /// <summary>Winds of an orbit; key = orbit number.</summary>
    public const string Winds = "winds";
    /// <summary>Flags; key = flag id.</summary>
    public const string Flag = "flag";
    /// <summary>Quarantine; no key.</summary>
    public const string Quarantine = "quarantine";
    /// <summary>An auxiliary file; key = its id.</summary>
    public const string Auxiliary = "auxiliary";
    /// <summary>Coefficient sets; key = set id.</summary>
    public const string Coefficients = "coefficients";
    /// <summary>Planned activities; key = the version that a person made.</summary>
    public const string Activities = "activities";
    /// <summary>Progress of a proposal's evidence; key = set id. What is there when it ends comes as <see cref="Coefficients"/> too.</summary>
    public const string Evidence = "evidence";
    /// <summary>Versions of the flag rules, proposals and known events; no key.</summary>
    public const string Rules = "rules";
    /// <summary>Progress of a rehearsal; key = its number.</summary>
    public const string Rehearsal = "rehearsal";
    /// <summary>The record of decisions, or what its verification found; no key.</summary>
    public const string Record = "record";
    /// <summary>A sign-off, a hold or a hand-over note; no key.</summary>
    public const string SignOff = "sign-off";
    /// <summary>The queue of notices; no key.</summary>
    public const string Notices = "notices";
    /// <summary>Notes on stretches of time; key = id.</summary>
    public const string Annotation = "annotation";
    /// <summary>Shared views; key = id.</summary>
    public const string SharedView = "sharedView";
    /// <summary>The archive of reports, or what is being made; no key.</summary>
    public const string Report = "report";
    /// <summary>Something came between a subscriber's first look and its subscription; no key: read again.</summary>
    public const string Missed = "missed";
}

/// <summary>
/// Tells pages of this process what has changed. Publishing never waits. A subscriber gets what gathered since its last look, each
/// change once, at most every so often; one that is slow gets fewer, larger sets, and a kind with very many keys comes without keys.
/// </summary>
public sealed class ChangeFeed(TimeProvider time)
{
    // Chosen: a page that must look at more than this many of a kind reads everything again.
    private const int LargestSet = 500;
    private readonly Lock gate = new();
    private readonly List<Subscriber> subscribers = [];
    private long published;

    /// <summary>Tells all subscribers of a change.</summary>
    public void Publish(string kind, long? key = null)
    {
        lock (gate)
        {
            published++;
            foreach (var subscriber in subscribers) subscriber.Add(new Change(kind, key));
        }
    }

    /// <summary>How many changes were published so far: who looks first and subscribes then, gives it to <see cref="SubscribeAsync(TimeSpan, long?, CancellationToken)"/>.</summary>
    public long Published
    {
        get { lock (gate) return published; }
    }

    /// <summary>Number of subscribers.</summary>
    public int Subscribers
    {
        get { lock (gate) return subscribers.Count; }
    }

    /// <summary>
    /// Changes from now on, in sets, at most one set in <paramref name="interval"/>. Subscribed from the first step of the
    /// enumeration until it is disposed or cancelled.
    /// </summary>
    /// <param name="interval">Least time between two sets.</param>
    /// <param name="since"><see cref="Published"/> before the subscriber's first look: what came since then comes as <see cref="ChangeKind.Missed"/>. Null = it has not looked.</param>
    /// <param name="cancel">Ends it.</param>
    public async IAsyncEnumerable<IReadOnlyCollection<Change>> SubscribeAsync(TimeSpan interval, long? since, [EnumeratorCancellation] CancellationToken cancel = default)
    {
        using var subscriber = new Subscriber();
        lock (gate)
        {
            subscribers.Add(subscriber);
            if (since is { } seen && seen != published) subscriber.Add(new Change(ChangeKind.Missed, null));
        }
        try
        {
            while (true)
            {
                await subscriber.Signal.WaitAsync(cancel).ConfigureAwait(false);
                IReadOnlyCollection<Change> changes;
                lock (gate) changes = subscriber.Take();
                yield return changes;
                if (interval > TimeSpan.Zero) await Task.Delay(interval, time, cancel).ConfigureAwait(false);
            }
        }
        finally
        {
            lock (gate) subscribers.Remove(subscriber);
        }
    }

    /// <summary>Changes from now on, for who has not looked yet.</summary>
    public IAsyncEnumerable<IReadOnlyCollection<Change>> SubscribeAsync(TimeSpan interval, CancellationToken cancel = default) => SubscribeAsync(interval, null, cancel);

    private sealed class Subscriber : IDisposable
    {
        private HashSet<Change> gathered = [];

        public SemaphoreSlim Signal { get; } = new(0);

        public void Add(Change change)
        {
            if (gathered.Contains(new Change(change.Kind, null))) return;
            if (!gathered.Add(change)) return;
            if (gathered.Count > LargestSet)
            {
                gathered.RemoveWhere(c => c.Kind == change.Kind);
                gathered.Add(new Change(change.Kind, null));
            }
            if (Signal.CurrentCount == 0) Signal.Release();
        }

        public HashSet<Change> Take()
        {
            var taken = gathered;
            gathered = [];
            return taken;
        }

        public void Dispose() => Signal.Dispose();
    }
}
