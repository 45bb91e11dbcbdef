using System.Text;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Profile;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Feed;

/// <summary>
/// Decides which file a demo hands over next: first the last 24 h, the newest orbit first; then orbit by orbit back to the scenario's start;
/// beside them, as simulated time passes, live data, repeated downlinks when their time has come and a new orbit file before the old
/// one ends. It writes nothing and reads no clock: the host asks, makes (<see cref="Content"/>), writes, and only then calls
/// <see cref="Written"/> and keeps <see cref="State"/>. A file written but not noted before a crash is made again with the same
/// bytes, which the intake drops as duplicates. Not for several threads at once, but <see cref="Content"/> may run on any.
/// </summary>
public sealed class DemoFeed
{
    /// <summary>Length of the recent past that comes first, s.</summary>
    public const double RecentS = 86400;
    /// <summary>An orbit file reaches this far ahead, s.</summary>
    public const double OrbitAheadS = 30 * 86400.0;
    /// <summary>A new orbit file is made when less than this is left, s.</summary>
    public const double OrbitMarginS = 3 * 86400.0;
    /// <summary>Live data come in files no shorter than this, s of mission time.</summary>
    public const double LiveStepS = 30;

    private readonly ScenarioGenerator generator;

    /// <summary>Feed of a generator.</summary>
    /// <param name="generator">Makes the data.</param>
    /// <param name="state">Where an earlier run stopped; null = the beginning.</param>
    /// <exception cref="ScenarioException">The state belongs to another seed.</exception>
    public DemoFeed(ScenarioGenerator generator, FeedState? state = null)
    {
        this.generator = generator;
        State = state ?? FeedState.First(generator);
        if (State.Seed != generator.Seed)
            throw new ScenarioException($"Found a feed state of seed {State.Seed}; expected seed {generator.Seed}. Remove the demo's data to start with another seed.");
        History = Plan(generator);
    }

    /// <summary>Where the feed stands; keep its JSON.</summary>
    public FeedState State { get; private set; }

    /// <summary>All files up to the first "now", in the order in which they are handed over.</summary>
    public IReadOnlyList<FeedItem> History { get; }

    /// <summary>Share of the history that is written, 0…1.</summary>
    public double HistoryShare => (double)State.HistoryWritten / History.Count;

    /// <summary>The next file of the past; null when all are written.</summary>
    public FeedItem? NextHistory() => State.HistoryWritten < History.Count ? History[State.HistoryWritten] : null;

    /// <summary>The next live file, now that simulated time has come to <paramref name="now"/>; null when nothing is due. Ask again after <see cref="Written"/>.</summary>
    public FeedItem? NextLive(Instant now)
    {
        var from = State.LiveTo;
        if (State.OrbitTo - now < OrbitMarginS)
        {
            var start = State.OrbitTo.AddSeconds(-OrbitMarginS);
            var end = (now > State.OrbitTo ? now : State.OrbitTo).AddSeconds(OrbitAheadS);
            return new FeedItem(FeedItemKind.Orbit, $"kittiwake-orbit-{FeedPlan.Stamp(start)}.oem", start, end);
        }
        foreach (var (e, delivered) in generator.LateDownlinks)
            if (delivered >= generator.Scenario.FirstNow && delivered <= now && !State.LateWritten.Contains(e.Name)) return Late(e, delivered);
        if (now - from < LiveStepS) return null;
        var (a, b) = FeedPlan.OrbitWindows(generator.Orbit, from, now).First();
        return Live(a, b);
    }

    /// <summary>Bytes of a file.</summary>
    /// <param name="item">From <see cref="NextHistory"/> or <see cref="NextLive"/>.</param>
    /// <param name="maxDegree">Threads to use.</param>
    public byte[] Content(FeedItem item, int maxDegree = 1) => item.Kind switch
    {
        FeedItemKind.Late => generator.LatePackets(item.Downlink!, maxDegree),
        FeedItemKind.Orbit => Encoding.ASCII.GetBytes(OrbitFile.Write(generator.Orbit, item.From, item.To, item.From)),
        _ => generator.PacketsFor(item.From, item.To, maxDegree),
    };

    /// <summary>Notes that a file is safely in the inbox.</summary>
    /// <exception cref="InvalidOperationException">The file is not the one that is next.</exception>
    public void Written(FeedItem item)
    {
        switch (item.Kind)
        {
            case FeedItemKind.Late when item.From >= generator.Scenario.FirstNow:
                State = State with { LateWritten = [.. State.LateWritten, item.Downlink!.Name] };
                break;
            case FeedItemKind.Live:
                if (item.From != State.LiveTo) throw OutOfTurn(item);
                State = State with { LiveToTaiNanoseconds = item.To.TaiNanoseconds };
                break;
            case FeedItemKind.Orbit:
                State = State with { OrbitToTaiNanoseconds = item.To.TaiNanoseconds };
                break;
            default:
                if (item != NextHistory()) throw OutOfTurn(item);
                State = State with { HistoryWritten = State.HistoryWritten + 1 };
                break;
        }
    }

    private static FeedItem Live(Instant from, Instant to) => new(FeedItemKind.Live, FeedPlan.FileName(from, to), from, to);

    private static FeedItem Late(ScenarioEvent e, Instant delivered) => new(FeedItemKind.Late, $"kittiwake-late-{e.Name}.pkt", delivered, delivered, e);

    private InvalidOperationException OutOfTurn(FeedItem item) => new(
        $"Found '{item.FileName}' noted as written; expected '{NextHistory()?.FileName ?? "no more history"}' or live data from {State.LiveTo}.");

    private static List<FeedItem> Plan(ScenarioGenerator generator)
    {
        var now = generator.Scenario.FirstNow;
        var items = FeedPlan.OrbitWindows(generator.Orbit, generator.FirstPacket, now)
            .Select(w => new FeedItem(w.To > now.AddSeconds(-RecentS) ? FeedItemKind.Recent : FeedItemKind.History, FeedPlan.FileName(w.From, w.To), w.From, w.To))
            .Reverse().ToList();
        // Repeated downlinks of the past come right behind the orbit in which they were delivered.
        foreach (var (e, delivered) in generator.LateDownlinks.Where(l => l.Delivered < now))
        {
            var at = items.FindIndex(i => i.From <= delivered);
            items.Insert(at + 1, Late(e, delivered));
        }
        return items;
    }
}
