using System.Text;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Storage.Tests;

/// <summary>The small stores: what is written comes back, replaced as a whole, page by page.</summary>
public sealed class StoreTests
{
    private static readonly Instant Now = TempStores.Now;

    [Fact]
    public async Task A_mark_that_was_set_again_while_its_unit_was_computed_stays()
    {
        using var temp = new TempStores();
        await temp.Stores.Work.MarkAsync("orbit", [3, 9, 5], Now);
        await temp.Stores.Work.MarkAsync("orbit", [3], Now, priority: 2);
        Assert.Equal([3, 9, 5], temp.Stores.Work.Peek("orbit", 10).Select(i => i.Key));
        var taken = temp.Stores.Work.Peek("orbit")[0];
        await temp.Stores.Work.MarkAsync("orbit", [3], Now);
        await temp.Write(t => Assert.False(WorkQueue.Clear(t, taken)));
        Assert.Equal(3, temp.Stores.Work.Count()["orbit"]);
        await temp.Write(t => Assert.True(WorkQueue.Clear(t, temp.Stores.Work.Peek("orbit")[0])));
        Assert.Equal([9, 5], temp.Stores.Work.Peek("orbit", 10).Select(i => i.Key));
    }

    [Fact]
    public async Task Orbits_are_replaced_listed_and_found_by_time()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            for (var i = 0; i < 5; i++) OrbitStore.Replace(t, Orbit(i, "incomplete"));
            OrbitStore.Replace(t, Orbit(2, "usable") with { EclipseStart = null, BetaDeg = -12.5 });
        });
        Assert.Equal(("usable", -12.5), (temp.Stores.Orbits.Get(2)!.Verdict, temp.Stores.Orbits.Get(2)!.BetaDeg));
        Assert.Equal(3, temp.Stores.Orbits.At(Now.AddSeconds(3 * 5760 + 1))!.Orbit);
        Assert.Null(temp.Stores.Orbits.At(Now.AddSeconds(5 * 5760)));
        var first = temp.Stores.Orbits.List(Now, Now.AddSeconds(4 * 5760), 3);
        var second = temp.Stores.Orbits.List(Now, Now.AddSeconds(4 * 5760), 3, first.Next);
        Assert.Equal([0, 1, 2, 3], first.Items.Concat(second.Items).Select(o => o.Orbit));
        Assert.Null(second.Next);
        Assert.Contains("expected the text that an earlier answer gave as next",
            Assert.Throws<ContinuationException>(() => temp.Stores.Orbits.List(Now, Now, 3, "nonsense!")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_list_of_tracker_values_does_not_tell_which_series_came_first()
    {
        SeriesKey[] keys = [new("dark-rate", "A", "green"), new("dark-rate", "A", "red"), new("dark-rate", "F", "green"), new("dark-rate", "F", "red")];
        foreach (var order in new[] { keys, [.. keys.Reverse()], [keys[2], keys[0], keys[3], keys[1]] })
        {
            using var temp = new TempStores();
            foreach (var orbit in new[] { 1, 2 })
                foreach (var key in order)
                    await temp.Stores.Database.WriteAsync(t => TrackerStore.ReplaceOrbit(t, orbit,
                        order.TakeWhile(k => k != key).Append(key).Select(k => new TrackerValue(k, orbit, Now.AddSeconds(orbit), 1, double.NaN, 1, false))));
            var listed = new List<(int, SeriesKey)>();
            for (string? next = ""; next is not null;)
            {
                var page = temp.Stores.Trackers.List("dark-rate", Now, Now.AddSeconds(1e6), 3, next);
                listed.AddRange(page.Items.Select(r => (r.Orbit, r.Key)));
                next = page.Next;
            }
            Assert.Equal([.. new[] { 1, 2 }.SelectMany(o => keys.Select(k => (o, k)))], listed);
        }
    }

    [Fact]
    public async Task Tracker_values_are_replaced_per_orbit_and_keep_statistics_while_unchanged()
    {
        using var temp = new TempStores();
        var (green, red) = (new SeriesKey("lamp-offset", "F", "green"), new SeriesKey("lamp-offset", "F", "red"));
        TrackerValue Value(SeriesKey key, int orbit, double value) => new(key, orbit, Now.AddSeconds(orbit * 5760), value, double.NaN, 12, false);
        await temp.Write(t =>
        {
            for (var o = 1; o <= 3; o++) TrackerStore.ReplaceOrbit(t, o, [Value(green, o, o), Value(red, o, double.NaN)]);
            TrackerStore.SetStatistics(t, green, [new TrackerStatistic(1, 0, 0.5, 0.1, 1, 1, double.NaN, "warning"), new TrackerStatistic(2, 0, 0.6, 0.1, 2, 2, 0, "normal")]);
            TrackerStore.ReplaceOrbit(t, 1, [Value(green, 1, 1)]);
            TrackerStore.ReplaceOrbit(t, 2, [Value(green, 2, 2.5)]);
        });
        var values = temp.Stores.Trackers.Values(green);
        Assert.Equal(["warning", "provisional", "provisional"], values.Select(v => v.State));
        Assert.Equal((0.5, 1.0), (values[0].Ewma, values[0].CusumHigh));
        Assert.True(double.IsNaN(values[0].CusumLow) && double.IsNaN(values[1].Ewma) && double.IsNaN(values[0].Sigma));
        Assert.Equal([3], temp.Stores.Trackers.Values(red).Select(v => v.Orbit));
        var first = temp.Stores.Trackers.List("lamp-offset", Now, Now.AddSeconds(1e6), 3);
        var second = temp.Stores.Trackers.List("lamp-offset", Now, Now.AddSeconds(1e6), 3, first.Next);
        Assert.Equal([(1, "green"), (2, "green"), (3, "green"), (3, "red")], first.Items.Concat(second.Items).Select(v => (v.Orbit, v.Key.Line!)));
        Assert.Equal([green, red], temp.Stores.Trackers.Series());
    }

    [Fact]
    public async Task A_value_that_comes_out_the_same_says_which_version_made_it_last_and_keeps_what_charts_know()
    {
        using var temp = new TempStores();
        var (lamp, dark) = (new SeriesKey("lamp-offset", "F", "green"), new SeriesKey("dark-rate", "F", "green"));
        TrackerValue Value(SeriesKey key, double value) => new(key, 1, Now, value, 0.1, 12, false);
        await temp.Write(t =>
        {
            OrbitStore.Replace(t, new() { Orbit = 1, Start = Now, End = Now.AddSeconds(5760), Verdict = "usable", CoefficientSet = 7, SoftwareVersion = "1.0" });
            TrackerStore.ReplaceOrbit(t, 1, [Value(lamp, 1), Value(dark, 2)], null, "1.0");
            TrackerStore.SetStatistics(t, lamp, [new TrackerStatistic(1, 0, 0.5, 0.1, 1, 1, 0, "warning")]);
            Assert.Equal(1, TrackerStore.ReplaceOrbit(t, 1, [Value(lamp, 1), Value(dark, 3)], null, "1.1"));
        });
        Assert.Equal(("1.1", "warning", 0.5), temp.Stores.Trackers.Values(lamp).Select(v => (v.SoftwareVersion, v.State, v.Ewma)).Single());
        Assert.Equal(("1.1", 3, "provisional"), temp.Stores.Trackers.Values(dark).Select(v => (v.SoftwareVersion, v.Value, v.State)).Single());
        Assert.Equal((7L, "1.1"), temp.Stores.Trackers.List("lamp-offset", Now, Now.AddSeconds(1), 5).Items.Select(v => (v.CoefficientSet!.Value, v.SoftwareVersion)).Single());
        Assert.Equal((7L, "1.0"), (temp.Stores.Orbits.Get(1)!.CoefficientSet!.Value, temp.Stores.Orbits.Get(1)!.SoftwareVersion));
    }

    [Fact]
    public async Task Values_of_some_trackers_are_replaced_without_touching_those_of_others_and_changes_are_counted()
    {
        using var temp = new TempStores();
        var (lamp, wind) = (new SeriesKey("lamp-offset", "F", "green"), new SeriesKey("green-red-difference", "F", null));
        TrackerValue Value(SeriesKey key, double value) => new(key, 1, Now, value, 0.1, 12, false);
        HashSet<string> winds = ["green-red-difference"];
        await temp.Write(t =>
        {
            Assert.Equal(1, TrackerStore.ReplaceOrbit(t, 1, [Value(lamp, 1)], new HashSet<string> { "lamp-offset" }));
            Assert.Equal(1, TrackerStore.ReplaceOrbit(t, 1, [Value(wind, 5)], winds));
            Assert.Equal(0, TrackerStore.ReplaceOrbit(t, 1, [Value(wind, 5)], winds));
            Assert.Equal(1, TrackerStore.ReplaceOrbit(t, 1, [Value(wind, 6)], winds));
        });
        Assert.Equal([6, 1], temp.Stores.Trackers.OfOrbit(1).Select(v => v.Value));
        await temp.Write(t => Assert.Equal(1, TrackerStore.ReplaceOrbit(t, 1, [], winds)));
        Assert.Equal([1], temp.Stores.Trackers.OfOrbit(1).Select(v => v.Value));
    }

    [Fact]
    public async Task Pages_of_flags_go_on_where_they_were_while_others_come()
    {
        using var temp = new TempStores();
        FlagRow Of(string id, double seconds) => Flag() with { Id = id, From = Now.AddSeconds(seconds), To = Now.AddSeconds(1000) };
        foreach (var flag in new[] { Of("b", 10), Of("a,%2C", 10), Of("c", 10), Of("d", 20) }) await temp.Write(t => FlagStore.Put(t, flag, "raise", "rules"));
        Page<FlagRow> Page(string? next) => temp.Stores.Flags.List(Now, Now.AddSeconds(2000), 2, next);
        var first = Page(null);
        Assert.Equal(["a,%2C", "b"], first.Items.Select(f => f.Id));
        await temp.Write(t => FlagStore.Put(t, Of("before", 5), "raise", "rules"));
        var second = Page(first.Next);
        Assert.Equal(["c", "d"], second.Items.Select(f => f.Id));
        Assert.Null(second.Next);
        QueryPlan.IsSearches(FlagStore.PageSql, "flagFrom ((from,id)>(", "l USING PRIMARY KEY");
        QueryPlan.IsSearches(FlagStore.StatePageSql, "flagLifeShown (shown=? AND (from,flag)>(", "flag USING INDEX sqlite_autoindex_flag_1 (id=?)");
    }

    [Fact]
    public async Task A_flag_keeps_every_step_of_its_life()
    {
        using var temp = new TempStores();
        var id = Flag().Id;
        await temp.Write(t => FlagStore.Put(t, Flag(), "raise", "rules"));
        await temp.Write(t => FlagStore.Put(t, Flag() with { To = Now.AddSeconds(100), Changed = Now.AddSeconds(3) }, null, "rules"));
        await temp.Write(t =>
        {
            Assert.True(FlagLifeStore.Save(t, id, FlagLife.Fresh, FlagLife.Fresh with { State = LifeState.Taken, Holder = "ada", Revision = 1 }));
            FlagLifeStore.AddStep(t, new() { Flag = id, Time = Now.AddSeconds(5), Step = "take", State = "taken", Actor = "ada", Note = "seen", Revision = 1 });
        });
        var flag = temp.Stores.Flags.Get(id)!;
        Assert.Equal(("taken", "ada", 1, 2.5, (double?)null, "F"), (flag.State, flag.Holder, flag.Revision, flag.Value, flag.Limit, flag.View));
        Assert.Equal([("raise", "rules"), ("take", "ada")], temp.Stores.FlagLives.Steps(id).Select(s => (s.Step, s.Actor)));
        Assert.Equal(id, Assert.Single(temp.Stores.Flags.List(Now.AddSeconds(10), Now.AddSeconds(20), 10, state: "taken").Items).Id);
        Assert.Empty(temp.Stores.Flags.List(Now.AddSeconds(200), Now.AddSeconds(300), 10).Items);
        Assert.Empty(temp.Stores.Flags.List(Now, Now.AddSeconds(20), 10, state: "raised").Items);
        Assert.Single(temp.Stores.Flags.OfOrbits(4, 9));
        Assert.Equal(id, Assert.Single(temp.Stores.Flags.OfRule("thermal-residual", 4, 4)).Id);
        Assert.Null(temp.Stores.Flags.Get("no-such-flag"));
    }

    [Fact]
    public async Task Auxiliary_files_are_versioned_kept_whole_and_marked_to_be_read()
    {
        using var temp = new TempStores();
        var content = Encoding.UTF8.GetBytes("CCSDS_OEM_VERS = 2.0\n");
        await temp.Write(t =>
        {
            Assert.Equal((1L, true), AuxiliaryStore.Add(t, AuxiliaryKind.Orbit, "oem", "a.oem", "api", content, Now));
            Assert.Equal((2L, true), AuxiliaryStore.Add(t, AuxiliaryKind.Orbit, "tle", "b.tle", "api", [1, 2], Now));
            Assert.Equal((1L, false), AuxiliaryStore.Add(t, AuxiliaryKind.Orbit, "oem", "again.oem", "inbox", content, Now));
            AuxiliaryStore.SetRead(t, 1, definitive: true, Now, Now.AddSeconds(60));
            AuxiliaryStore.SetRefused(t, 2, "Line 1 has 1 column.");
        });
        Assert.Equal(content, temp.Stores.Auxiliary.Content(1));
        Assert.Equal([("read", "definitive", 1), ("refused", "unknown", 2)], temp.Stores.Auxiliary.List(AuxiliaryKind.Orbit).Select(f => (f.State, f.Quality, f.Version)));
        Assert.Equal(Now.AddSeconds(60), temp.Stores.Auxiliary.Get(1)!.CoverTo);
        Assert.Equal(2, temp.Stores.Work.Count()[WorkQueue.ReadAuxiliary]);
    }

    [Fact]
    public async Task Quarantine_keeps_the_bytes_knows_repeats_and_remembers_decisions()
    {
        using var temp = new TempStores();
        var entry = new QuarantineEntry("badChecksum", "CRC-16 is 1234.", "inbox:a.pkt", 99, 5, new byte[] { 1, 2, 3, 4, 5 });
        var huge = new QuarantineEntry("garbage", "No packet.", "inbox:b", 0, 3 << 20, new byte[3 << 20]);
        await temp.Write(t =>
        {
            Assert.True(QuarantineStore.Add(t, entry, Now));
            Assert.False(QuarantineStore.Add(t, entry with { Source = "api" }, Now));
            Assert.True(QuarantineStore.Add(t, huge, Now));
            QuarantineStore.SetRetried(t, 1);
            Assert.False(QuarantineStore.Add(t, entry, Now));
            QuarantineStore.Discard(t, 1);
            Assert.False(QuarantineStore.Add(t, entry, Now));
        });
        Assert.Equal(("discarded", "inbox:a.pkt", 99L), (temp.Stores.Quarantine.Get(1)!.State, temp.Stores.Quarantine.Get(1)!.Source, temp.Stores.Quarantine.Get(1)!.Offset));
        Assert.Equal([1, 2, 3, 4, 5], temp.Stores.Quarantine.Bytes(1));
        Assert.Equal(QuarantineStore.LargestKept, temp.Stores.Quarantine.Bytes(2).Length);
        Assert.Equal(3 << 20, temp.Stores.Quarantine.Get(2)!.Length);
        var error = await Assert.ThrowsAsync<InvalidOperationException>(() => temp.Write(t => QuarantineStore.SetRetried(t, 1)));
        Assert.Equal("The quarantine item 1 is discarded; expected waiting.", error.Message);
        Assert.Single(temp.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10, state: "waiting").Items);
    }

    [Fact]
    public async Task Quarantine_of_an_hour_is_replaced_and_keeps_what_is_found_again()
    {
        using var temp = new TempStores();
        QuarantineEntry Entry(byte b) => new("rowConflict", "Two rows.", "decode", 0, 1, new[] { b });
        await temp.Write(t => QuarantineStore.ReplaceHour(t, 5, "rowConflict", [Entry(1), Entry(2)], Now));
        await temp.Write(t => QuarantineStore.Discard(t, 2));
        await temp.Write(t => QuarantineStore.ReplaceHour(t, 5, "rowConflict", [Entry(2), Entry(3)], Now));
        var items = temp.Stores.Quarantine.List(Instant.MinValue, Instant.MaxValue, 10).Items;
        Assert.Equal([("waiting", (byte)3), ("discarded", (byte)2)], items.Select(i => (i.State, temp.Stores.Quarantine.Bytes(i.Id)[0])));
    }

    [Fact]
    public async Task Coverage_and_stream_events_are_replaced_as_a_whole()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            var hour = Hour.Of(Now);
            StreamStore.ReplaceHour(t, hour, [Coverage(hour, 100), Coverage(hour, 101)], [Gap(hour, 3), Gap(hour, 4)]);
            StreamStore.ReplaceHour(t, hour, [Coverage(hour, 102)], [Gap(hour, 5)]);
        });
        Assert.Equal(102, Assert.Single(temp.Stores.Streams.Coverage(Now, Now.AddSeconds(1))).Apid);
        Assert.Equal(5, Assert.Single(temp.Stores.Streams.Events(Now, Now.AddSeconds(1), StreamStore.Gap)).Amount);
    }

    private static OrbitRow Orbit(int number, string verdict) => new()
    {
        Orbit = number,
        Start = Now.AddSeconds(number * 5760),
        End = Now.AddSeconds((number + 1) * 5760),
        Verdict = verdict,
        EclipseStart = Now,
        ExpectedExposures = 96,
    };

    private static FlagRow Flag() => new()
    {
        Id = "thermal-residual.0123456789.o3",
        Body = "{}",
        Rule = "thermal-residual",
        RuleVersion = "1",
        Subject = "thermal-residual",
        View = "F",
        Line = "green",
        Severity = "warning",
        State = "raised",
        From = Now,
        To = Now.AddSeconds(100),
        FirstOrbit = 3,
        LastOrbit = 4,
        Value = 2.5,
        Unit = "m/s",
        Message = "Residual over its limit.",
        Raised = Now,
        Changed = Now,
    };

    private static CoverageRow Coverage(long hour, int apid) => new() { Hour = hour, Apid = apid, Count = 7, FirstTime = Now.AddSeconds(-1), LastTime = Now.AddSeconds(1), FirstSequence = 3, LastSequence = 9 };

    private static StreamEventRow Gap(long hour, double missing) => new() { Hour = hour, Kind = StreamStore.Gap, Apid = 100, From = Now.AddSeconds(-3), To = Now, Amount = missing };
}
