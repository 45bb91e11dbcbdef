using Dapper;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage.Tests.Trackers;

/// <summary>What plots read of a series is what its rows say, packed or not, whatever changes.</summary>
public sealed class TrackerPartsTests : IAsyncLifetime, IDisposable
{
    private const int Orbits = 1600, OrbitS = 5760;
    private static readonly SeriesKey[] Keys = [new("lamp-offset", "F", "green"), new("dark-rate", "A", null)];
    private readonly TempStores temp = new();
    private readonly Random random = new(7);

    // Part of the values is missing, none of some orbits is there, and the charts know half.
    public async Task InitializeAsync()
    {
        await temp.Write(t =>
        {
            for (var orbit = -20; orbit < Orbits; orbit++)
            {
                OrbitStore.Replace(t, new() { Orbit = orbit, Start = StartOf(orbit), End = StartOf(orbit + 1), Verdict = "usable" });
                if (orbit % 50 != 3) TrackerStore.ReplaceOrbit(t, orbit, Keys.Select(k => ValueOf(k, orbit)), null, "1.0");
            }
            foreach (var key in Keys)
                TrackerStore.SetStatistics(t, key, Enumerable.Range(0, Orbits / 2).Select(o => new TrackerStatistic(o, o, random.NextDouble(), 0.1, o + 0.25, random.NextDouble(), double.NaN, o % 9 == 0 ? "critical" : "normal")));
        });
    }

    public Task DisposeAsync() => Task.CompletedTask;

    public void Dispose() => temp.Dispose();

    [Fact]
    public async Task Packed_or_not_a_window_holds_its_rows()
    {
        AssertAsRows();
        Assert.Equal(1, await temp.Stores.Trackers.PackAsync(1));
        AssertAsRows();
        // Parts −1 to 2; part 3, the newest, stays as rows.
        Assert.Equal(4 * Keys.Length - 1, await temp.Stores.Trackers.PackAsync(100));
        Assert.Equal(0, await temp.Stores.Trackers.PackAsync(100));
        Assert.Equal(Keys.Length, Count("trackerUnpacked"));
        Assert.Equal(4 * Keys.Length, Count("trackerPart"));
        AssertAsRows();
    }

    [Fact]
    public async Task A_changed_value_shows_at_once_and_is_packed_again()
    {
        while (await temp.Stores.Trackers.PackAsync(3) > 0) { }
        var changes = new Action<System.Data.IDbTransaction>[]
        {
            t => TrackerStore.ReplaceOrbit(t, 40, [ValueOf(Keys[0], 40) with { Value = 99 }, ValueOf(Keys[1], 40)]),
            t => TrackerStore.SetStatistics(t, Keys[0], [new(600, 1, 2, 3, 4, 5, 6, "warning")]),
            t => TrackerStore.ReplaceOrbit(t, 700, []),
            t => TrackerStore.ReplaceOrbit(t, 503, Keys.Select(k => ValueOf(k, 503))),
            // Orbits of a whole part.
            t => { for (var orbit = 512; orbit < 1024; orbit++) TrackerStore.ReplaceOrbit(t, orbit, []); },
        };
        foreach (var change in changes)
        {
            await temp.Write(change);
            Assert.True(Count("trackerUnpacked") > Keys.Length);
            AssertAsRows();
            while (await temp.Stores.Trackers.PackAsync(3) > 0) { }
            Assert.Equal(Keys.Length, Count("trackerUnpacked"));
            AssertAsRows();
        }
        Assert.Equal(3 * Keys.Length, Count("trackerPart"));
    }

    [Fact]
    public async Task A_change_of_the_version_alone_leaves_the_part_packed()
    {
        while (await temp.Stores.Trackers.PackAsync(100) > 0) { }
        await temp.Write(t => TrackerStore.ReplaceOrbit(t, 40, temp.Stores.Trackers.OfOrbit(40).Select(r => r.ToValue()), null, "1.1"));
        Assert.Equal("1.1", temp.Stores.Trackers.Values(Keys[0], 40, 40)[0].SoftwareVersion);
        Assert.Equal(Keys.Length, Count("trackerUnpacked"));
    }

    [Fact]
    public async Task A_damaged_part_is_told_not_drawn()
    {
        while (await temp.Stores.Trackers.PackAsync(100) > 0) { }
        await temp.Write(t => t.Connection!.Execute("UPDATE trackerPart SET data = substr(data, 1, length(data) / 2)"));
        Assert.Throws<StorageException>(() => temp.Stores.Trackers.Charted(Keys[0], Instant.MinValue, Instant.MaxValue));
        Assert.Empty(temp.Stores.Trackers.Charted(new("lamp-offset", "F", "none"), Instant.MinValue, Instant.MaxValue));
    }

    private void AssertAsRows()
    {
        foreach (var key in Keys)
        {
            var rows = temp.Stores.Trackers.Values(key).Where(r => double.IsFinite(r.Value)).ToList();
            Assert.NotEmpty(rows);
            Assert.Equal(rows.Select(PlottedValue.Of), temp.Stores.Trackers.Charted(key, Instant.MinValue, Instant.MaxValue));
            for (var i = 0; i < 20; i++)
            {
                var from = StartOf(random.Next(-40, Orbits + 20)).AddSeconds(random.Next(OrbitS));
                var to = from.AddSeconds(random.NextDouble() * random.Next(1, 3000) * OrbitS);
                Assert.Equal(rows.Where(r => r.Time >= from && r.Time < to).Select(PlottedValue.Of), temp.Stores.Trackers.Charted(key, from, to));
            }
        }
    }

    private int Count(string table) => temp.Stores.Database.Read(c => c.ExecuteScalar<int>($"SELECT count(*) FROM {table}"));

    private static Instant StartOf(int orbit) => TempStores.Now.AddSeconds(orbit * (double)OrbitS);

    private TrackerValue ValueOf(SeriesKey key, int orbit) =>
        new(key, orbit, StartOf(orbit).AddSeconds(OrbitS / 2.0), orbit % 7 == 5 ? double.NaN : random.NextDouble() * 1e3, random.Next(3) == 0 ? double.NaN : random.NextDouble(), random.Next(50), orbit % 11 == 0);
}
