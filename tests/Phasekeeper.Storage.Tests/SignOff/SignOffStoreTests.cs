using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.SignOff;
using Phasekeeper.Core.Time;
using static Phasekeeper.Storage.Tests.TempStores;

namespace Phasekeeper.Storage.Tests.SignOff;

public sealed class SignOffStoreTests
{
    private static readonly DayGround Ground = new([new(7, 60, 1000, 1, false, 30, [1, 2, 3, 4, 5, 6, 7, 8])], [new("a", "warning", "open", "m")], "usable", ["gap"], 0);

    private static readonly long Day = Now.ToUnixDay().UnixDay;

    private static SignOffRow Row(long revision, string verdict = "usable") => new() { Day = Day, Revision = revision, Verdict = verdict, Proposed = "usable", Proposal = "{}", GroundKey = "k", Remark = "seen", Actor = "kim", Role = "operator", Time = Now };

    private static OrbitHoldRow Hold(int orbit, long revision, bool held) => new() { Orbit = orbit, Revision = revision, Held = held, Reason = "jump", Actor = "kim", Role = "operator", Time = Now };

    private static OrbitRow Orbit(int number, double fromS) => new() { Orbit = number, Start = Instant.FromUnixDay(Day, 0).AddSeconds(fromS), End = Instant.FromUnixDay(Day, 0).AddSeconds(fromS + 5760), Verdict = "usable" };

    [Fact]
    public async Task The_newest_sign_off_of_a_day_counts_and_the_others_stay_with_their_ground()
    {
        using var temp = new TempStores();
        long first = 0;
        await temp.Write(t => first = SignOffStore.Add(t, Row(1), Ground));
        await temp.Write(t => SignOffStore.Add(t, Row(2, "held"), Ground with { Proposed = "held" }));
        Assert.Equal((2, "held", true), (temp.Stores.SignOffs.Newest(Day)!.Revision, temp.Stores.SignOffs.Newest(Day)!.Verdict, temp.Stores.SignOffs.Newest(Day)!.Overruled));
        Assert.Equal([1, 2], temp.Stores.SignOffs.OfDay(Day).Select(r => r.Revision));
        Assert.Equal("held", temp.Stores.SignOffs.Between(Day - 1, Day + 1)[Day].Verdict);
        Assert.Equal(Ground.Key(), temp.Stores.SignOffs.Ground(first).Key());
        Assert.Null(temp.Stores.SignOffs.Newest(Day + 1));
    }

    [Fact]
    public async Task Of_two_sign_offs_over_the_same_one_the_second_fails()
    {
        using var temp = new TempStores();
        await temp.Write(t => SignOffStore.Add(t, Row(1), Ground));
        await temp.Write(t => HoldStore.Add(t, Hold(7, 1, true)));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => SignOffStore.Add(t, Row(1, "held"), Ground)));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => SignOffStore.Add(t, Row(3), Ground)));
        await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => HoldStore.Add(t, Hold(7, 1, false))));
        Assert.Single(temp.Stores.SignOffs.OfDay(Day));
    }

    [Theory]
    [InlineData("UPDATE signOff SET verdict = 'usable'")]
    [InlineData("DELETE FROM signOff")]
    [InlineData("UPDATE orbitHold SET held = 0")]
    [InlineData("DELETE FROM orbitHold")]
    [InlineData("UPDATE handOver SET text = ''")]
    [InlineData("DELETE FROM handOver")]
    [InlineData("UPDATE handOverRead SET actor = 'x'")]
    [InlineData("DELETE FROM handOverRead")]
    public async Task Nothing_that_was_said_is_changed_or_deleted(string sql)
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            SignOffStore.Add(t, Row(1, "held"), Ground);
            HoldStore.Add(t, Hold(7, 1, true));
            var note = HandOverStore.Add(t, new() { Day = Day, Text = "Look at view F.", Actor = "kim", Role = "operator", Time = Now });
            Assert.True(HandOverStore.AddRead(t, new(note, "ada", Now)));
        });
        var error = await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)));
        Assert.Contains("kept:", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_orbit_is_held_with_the_day_on_which_it_begins_or_by_itself()
    {
        using var temp = new TempStores();
        await temp.Write(t =>
        {
            // 6 begins the day before, 9 the day after.
            foreach (var orbit in new[] { Orbit(6, -60), Orbit(7, 5700), Orbit(8, 80_000), Orbit(9, 86_400) }) OrbitStore.Replace(t, orbit);
            HoldStore.Add(t, Hold(8, 1, true));
            HoldStore.Add(t, Hold(9, 1, true));
            HoldStore.Add(t, Hold(9, 2, false));
        });
        Assert.Equal([(8, HoldKind.Orbit)], temp.Stores.Holds.Held().Select(h => (h.Key, h.Value)));
        await temp.Write(t => SignOffStore.Add(t, Row(1, "held"), Ground));
        Assert.Equal([(7, HoldKind.Day), (8, HoldKind.Day | HoldKind.Orbit)], temp.Stores.Holds.Held().OrderBy(h => h.Key).Select(h => (h.Key, h.Value)));
        Assert.Equal([8], temp.Stores.Holds.Held(8, 9).Keys);
        await temp.Write(t => SignOffStore.Add(t, Row(2, "remarks"), Ground));
        Assert.Equal([8], temp.Stores.Holds.Held().Keys);
        Assert.Equal([1, 2], temp.Stores.Holds.History(9, 9).Select(h => h.Revision));
    }

    [Fact]
    public async Task A_note_is_read_once_by_each()
    {
        using var temp = new TempStores();
        long note = 0;
        await temp.Write(t => note = HandOverStore.Add(t, new() { Day = null, Text = "Look at view F.", Actor = "kim", Role = "operator", Time = Now }));
        await temp.Write(t => Assert.True(HandOverStore.AddRead(t, new(note, "ada", Now))));
        await temp.Write(t => Assert.False(HandOverStore.AddRead(t, new(note, "ada", Now.AddSeconds(5)))));
        Assert.Equal([new(note, "ada", Now)], temp.Stores.HandOvers.Reads([note])[note]);
        Assert.Equal("Look at view F.", temp.Stores.HandOvers.Newest(5).Single().Text);
    }
}
