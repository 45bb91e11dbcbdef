using Dapper;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Stages;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Tests.Assessment;

/// <summary>Charts that go on from stored states are, bit for bit, those that ran from the start over the same values.</summary>
public sealed class ChartKeeperTests : IDisposable
{
    private const int Orbits = 400;
    private static readonly Instant Start = Instant.FromUtc(2031, 4, 10);
    private static readonly SeriesKey[] Keys = [new("thermal-residual", "F", "green"), new("dark-rate", "F", "green"), new("spike-rate", "A", null), new("lamp-offset", "F", "green")];
    private readonly List<string> folders = [];

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public async Task Values_that_come_in_any_order_and_change_end_in_the_same_statistics(int seed)
    {
        var random = new Random(seed);
        // Mostly in order, now and then a late one, a change, or one that goes.
        var truth = new SortedDictionary<int, TrackerValue[]>();
        var waiting = new List<(int Orbit, TrackerValue[] Values)>();
        using var stores = Open();
        var keeper = new ChartKeeper(stores);
        void Set(int orbit, TrackerValue[] values)
        {
            truth[orbit] = values;
            waiting.Add((orbit, values));
        }

        foreach (var orbit in Enumerable.Range(0, Orbits).OrderBy(o => o + (random.Next(10) == 0 ? random.Next(Orbits) : random.Next(3))))
        {
            Set(orbit, Values(orbit, random));
            if (random.Next(15) == 0) Set(Known(truth, random), []);
            if (random.Next(15) == 0 && Known(truth, random) is var other) Set(other, Values(other, random));
            if (random.Next(4) > 0) continue;
            await WriteAsync(stores, waiting);
            waiting.Clear();
            await keeper.UpdateAsync(Sets(200), Start, CancellationToken.None);
        }
        await WriteAsync(stores, waiting);
        await keeper.UpdateAsync(Sets(200), Start, CancellationToken.None);

        using var fresh = Open();
        await WriteAsync(fresh, truth.Select(p => (p.Key, p.Value)));
        await new ChartKeeper(fresh).UpdateAsync(Sets(200), Start, CancellationToken.None);

        Assert.Equal(Dump(fresh), Dump(stores));
        Assert.True(stores.Trackers.Values(Keys[0]).Count(v => v.State is "normal" or "warning" or "critical") > Orbits / 2);
    }

    [Fact]
    public async Task Another_coefficient_set_charts_anew_from_where_it_counts()
    {
        var random = new Random(5);
        var values = Enumerable.Range(0, Orbits).ToDictionary(o => o, o => Values(o, random));
        using var stores = Open();
        using var fresh = Open();
        await WriteAsync(stores, values.Select(p => (p.Key, p.Value)));
        await WriteAsync(fresh, values.Select(p => (p.Key, p.Value)));
        var keeper = new ChartKeeper(stores);
        await keeper.UpdateAsync(Sets(null), Start, CancellationToken.None);
        var before = stores.Trackers.Values(Keys[1]);
        await keeper.UpdateAsync(Sets(300), Start, CancellationToken.None);
        await new ChartKeeper(fresh).UpdateAsync(Sets(300), Start, CancellationToken.None);

        Assert.Equal(Dump(fresh), Dump(stores));
        var after = stores.Trackers.Values(Keys[1]);
        Assert.Equal(before.Where(v => v.Orbit < 300), after.Where(v => v.Orbit < 300));
        Assert.NotEqual(before.Single(v => v.Orbit == 350).Expected, after.Single(v => v.Orbit == 350).Expected);
    }

    [Fact]
    public async Task A_late_value_marks_every_orbit_on_which_the_charts_change()
    {
        var random = new Random(7);
        using var stores = Open();
        var keeper = new ChartKeeper(stores);
        await WriteAsync(stores, Enumerable.Range(0, 120).Select(o => (o, Values(o, random))));
        await keeper.UpdateAsync(Sets(null), Start, CancellationToken.None);
        await stores.Database.WriteAsync(t => stores.Work.Peek(WorkKinds.Assess, 1000).All(item => WorkQueue.Clear(t, item)));
        var before = stores.Trackers.OfOrbits(0, 120).ToDictionary(r => (r.Key, r.Orbit));

        await WriteAsync(stores, [(60, Values(60, random))]);
        await keeper.UpdateAsync(Sets(null), Start, CancellationToken.None);

        var differing = stores.Trackers.OfOrbits(0, 120).Where(r => before[(r.Key, r.Orbit)] != r).Select(r => (long)r.Orbit).Distinct().Order().ToArray();
        Assert.True(differing.Length > 10);
        Assert.Equal(differing, stores.Work.Peek(WorkKinds.Assess, 1000).Select(i => i.Key).Order());
        // Nothing changed since: nothing is charted, nothing marked.
        await keeper.UpdateAsync(Sets(null), Start, CancellationToken.None);
        Assert.Equal(differing.Length, stores.Work.Peek(WorkKinds.Assess, 1000).Count);
    }

    [Fact]
    public async Task In_order_an_update_charts_a_few_orbits_however_long_the_history_is()
    {
        var random = new Random(9);
        using var stores = Open();
        var keeper = new ChartKeeper(stores);
        await WriteAsync(stores, Enumerable.Range(0, 340).Select(o => (o, Values(o, random))));
        await keeper.UpdateAsync(Sets(null), Start, CancellationToken.None);
        for (var o = 340; o < Orbits; o++)
        {
            await WriteAsync(stores, [(o, Values(o, random))]);
            await keeper.UpdateAsync(Sets(null), Start, CancellationToken.None);
            Assert.All(stores.Charts.Starts(), s => Assert.InRange(o - (s.AfterOrbit ?? int.MinValue), 0, SeriesRun.StateEvery + 2));
        }
        // States are thinned out: the newest ones, and one in every long stretch.
        var states = stores.Database.Read(c => c.ExecuteScalar<int>("SELECT count(*) FROM chartState")) / (double)Keys.Length;
        Assert.InRange(states, 8, 14);
    }

    private Stores Open()
    {
        folders.Add(Directory.CreateTempSubdirectory("pk-charts-").FullName);
        return Stores.Open(folders[^1]);
    }

    private static int Known(SortedDictionary<int, TrackerValue[]> truth, Random random) => truth.Keys.ElementAt(random.Next(truth.Count));

    private static Task WriteAsync(Stores stores, IEnumerable<(int Orbit, TrackerValue[] Values)> orbits) => stores.Database.WriteAsync(t =>
    {
        foreach (var (orbit, values) in orbits)
        {
            var start = Start.AddSeconds(5760.0 * orbit);
            OrbitStore.Replace(t, new OrbitRow { Orbit = orbit, Start = start, End = start.AddSeconds(5760), Verdict = "usable" });
            TrackerStore.ReplaceOrbit(t, orbit, values);
        }
    });

    // Noise, a shift that lasts, wild orbits, a phase that turns, holes.
    private static TrackerValue[] Values(int orbit, Random random) => [.. Keys.Where(_ => random.Next(12) > 0).Select((key, k) => new TrackerValue(
        key, orbit, Start.AddSeconds(5760.0 * orbit + 2880), key.Tracker == "lamp-offset" ? Math.IEEERemainder(0.03 * orbit + 0.1 * random.NextDouble(), 2 * Math.PI)
            : 2 + random.NextDouble() + (orbit is > 260 and < 300 ? 3 : 0) + (random.Next(40) == 0 ? 20 : 0), random.Next(5) == 0 ? double.NaN : 0.1 + 0.1 * k, 12, random.Next(9) == 0))];

    private static CoefficientTimeline Sets(int? secondFromOrbit)
    {
        CoefficientsInForce Entry(Instant from, int id) => new(from, id, new CoefficientSet
        {
            Name = $"set {id}",
            ValidFrom = from,
            Dark = new(0, 1 + id, 0, 6),
            Optics = [],
            ImageShift = [],
        }, [(byte)id]);
        return new(secondFromOrbit is { } o ? [Entry(Instant.MinValue, 1), Entry(Start.AddSeconds(5760.0 * o), 2)] : [Entry(Instant.MinValue, 1)]);
    }

    private static string Dump(Stores stores) => string.Join('\n', Keys.SelectMany(k => stores.Trackers.Values(k)).Select(r => FormattableString.Invariant(
        $"{r.Key} {r.Orbit} {r.Value:R} {r.Charted:R} {r.Expected:R} {r.Ewma:R} {r.EwmaSigma:R} {r.CusumHigh:R} {r.CusumLow:R} {r.State}")));

    public void Dispose()
    {
        foreach (var folder in folders) Directory.Delete(folder, recursive: true);
    }
}
