using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Storage.Tests.Flags;

/// <summary>A store of a version that knew acknowledgements alone, opened by this program.</summary>
public sealed class FlagLifeMigrationTests
{
    private const string Acknowledged = "\"acknowledgedSeverity\":\"warning\",\"acknowledgedSeries\":\"F green; A green\",\"acknowledgedBy\":\"kim\",\"acknowledgedAt\":7,\"acknowledgedNote\":\"known\",";

    [Fact]
    public void An_acknowledged_flag_is_taken_by_that_person_with_its_note()
    {
        using var temp = new TempStores(Filled());
        var flag = temp.Stores.Flags.Get("seen")!;
        Assert.Equal(("taken", "kim", 1), (flag.State, flag.Holder, flag.Revision));
        Assert.Equal(new FlagSight(FlagSeverity.Warning, 3, 5, "F green; A green"), temp.Stores.FlagLives.Get("seen").Seen);
        Assert.Equal([("raise", "raised", "rules", ""), ("take", "taken", "kim", "known")], temp.Stores.FlagLives.Steps("seen").Select(s => (s.Step, s.State, s.Actor, s.Note)));
        // Numbers of the rules stay as they were written, to the last digit.
        Assert.Equal("""{"id":"seen","state":"raised","acknowledgedNo":1,"value":0.30000000000000004,"limit":"NaN"}""", flag.Body);
        Assert.Equal("raised", temp.Stores.Database.Read(c => c.ExecuteScalar<string>("SELECT state FROM flag WHERE id = 'seen'")));
    }

    [Fact]
    public void One_that_had_grown_since_waits_for_a_person_again_and_stays_with_who_had_seen_it()
    {
        using var temp = new TempStores(Filled());
        Assert.Equal(("reopened", "kim"), (temp.Stores.Flags.Get("grown")!.State, temp.Stores.Flags.Get("grown")!.Holder));
        Assert.Equal(("raised", null), (temp.Stores.Flags.Get("new")!.State, temp.Stores.Flags.Get("new")!.Holder));
        var gone = temp.Stores.FlagLives.Get("gone");
        Assert.Equal((LifeState.Withdrawn, LifeState.Taken, "kim"), (gone.Shown, gone.State, gone.Holder));
        Assert.Empty(temp.Stores.Database.Read(c => c.Query("PRAGMA foreign_key_check")));
    }

    [Fact]
    public void Every_flag_is_listed_by_its_new_state()
    {
        using var temp = new TempStores(Filled());
        foreach (var (state, id) in new[] { ("taken", "seen"), ("reopened", "grown"), ("raised", "new"), ("withdrawn", "gone") })
            Assert.Equal(id, Assert.Single(temp.Stores.Flags.List(new(0), new(100), 10, state: state).Items).Id);
    }

    private static string Filled()
    {
        var folder = new DataFolder(TempStores.NewFolder());
        using var connection = new SqliteConnection($"Data Source={folder.DatabaseFile};Pooling=False");
        connection.Open();
        Migrations.Apply(connection, folder.DatabaseFile, [.. Migrations.Scripts.Where(s => s.Version < 11)]);
        Put("seen", "acknowledged", "acknowledged", Acknowledged);
        Put("grown", "raised", "raised", Acknowledged);
        Put("new", "raised", "raised", "\"acknowledgedSeries\":\"\",");
        Put("gone", "withdrawn", "withdrawn", Acknowledged);
        connection.Execute("INSERT INTO flagStep (flag, time, step, state, actor, note) VALUES ('seen', 1, 'raise', 'raised', 'rules', ''), ('seen', 2, 'acknowledge', 'acknowledged', 'kim', 'known')");
        return folder.Root;

        void Put(string id, string state, string inBody, string more) => connection.Execute(
            """
            INSERT INTO flag (id, rule, ruleVersion, subject, severity, state, "from", "to", firstOrbit, lastOrbit, unit, message, evidence, body, raised, changed)
            VALUES (@id, 'r', '1', 's', 'critical', @state, 10, 20, 3, 5, '1', 'm', '{}', @body, 1, 2)
            """, new { id, state, body = $$"""{"id":"{{id}}","state":"{{inBody}}",{{more}}"acknowledgedNo":1,"value":0.30000000000000004,"limit":"NaN"}""" });
    }
}
