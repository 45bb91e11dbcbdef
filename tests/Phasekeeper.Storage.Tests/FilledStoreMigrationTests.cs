using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage.Tests;

/// <summary>A database of an earlier schema with a row in every table, opened by this program.</summary>
public sealed class FilledStoreMigrationTests
{
    // What scripts take away on purpose: 0003 leaves winds to be made again.
    private static readonly string[] MadeAgain = ["losWind", "windVector"];

    // Telemetry of hour 1: two samples of channel 1, whose name is a.
    private static readonly string[] Packed = ["telemetryChunk", "telemetryTime", "telemetryMinute"];
    private static readonly ChannelSamples Samples = ChannelSamples.Real([Hour.Nanoseconds, Hour.Nanoseconds + 5], [1.5, double.NaN]);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(4)]
    public void A_filled_store_of_an_earlier_schema_keeps_every_row(long version)
    {
        var folder = Filled(version, out var before);
        using var temp = new TempStores(folder);
        var after = temp.Stores.Database.Read(Rows);
        Assert.True(before.Count > 25, $"{before.Count} tables");
        foreach (var (table, rows) in before)
        {
            if (version < 3 && MadeAgain.Contains(table))
            {
                Assert.Empty(after[table]);
                continue;
            }
            // 0012 drops it: no program ever wrote a row there.
            if (table == "activity") continue;
            // 0017 packs telemetry anew: its samples are looked at below.
            if (Packed.Contains(table)) continue;
            Assert.Equal(rows.Count, after[table].Count);
            foreach (var (old, now) in rows.Zip(after[table]))
                foreach (var (column, value) in old)
                    // 0007 gives evidence a table of its own.
                    if ((table, column) != ("coefficientSet", "evidence")) Assert.Equal(((table, column), value), ((table, column), now[column]));
        }
        var read = temp.Stores.Telemetry.Read("a", Hour.Start(1), Hour.End(1));
        Assert.Equal(Samples.TaiNanoseconds, read.TaiNanoseconds);
        Assert.Equal(Samples.Values, read.Values);
        Assert.Equal(2, temp.Stores.Telemetry.Channel("a")!.Count);
        Assert.Equal([(1L, """{"orbits":12}""")], temp.Stores.Database.Read(c => c.Query<(long, string)>("SELECT setId, document FROM coefficientEvidence")));
        Assert.Equal("ok", temp.Stores.Database.Read(c => c.ExecuteScalar<string>("PRAGMA integrity_check")));
        Assert.Empty(temp.Stores.Database.Read(c => c.Query("PRAGMA foreign_key_check")));
    }

    [Theory]
    [InlineData("UPDATE coefficientSet SET name = 'b'", "never changed")]
    [InlineData("DELETE FROM coefficientSet", "never deleted")]
    [InlineData("UPDATE coefficientDecision SET note = 'b'", "never changed")]
    [InlineData("DELETE FROM coefficientDecision", "never deleted")]
    [InlineData("UPDATE coefficientEvidence SET computed = 2", "never changed")]
    [InlineData("DELETE FROM coefficientEvidence", "never deleted")]
    [InlineData("INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (2, 'approved', 5, ' A', 'calibration-lead', 9, 'n', '1')", "proposer")]
    [InlineData("INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (2, 'approved', 5, 'b', 'system', 9, 'n', '1')", "system")]
    [InlineData("INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (2, 'reinstated', 5, 'b', 'calibration-lead', 9, 'n', '1')", "reinstated")]
    [InlineData("INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (1, 'approved', 5, 'b', 'calibration-lead', 9, 'n', '1')", "decided:")]
    public async Task What_guards_coefficients_guards_those_of_before(string sql, string because)
    {
        using var temp = new TempStores(Filled(4, out _));
        var error = await Assert.ThrowsAsync<SqliteException>(() => temp.Write(t => t.Connection!.Execute(sql, transaction: t)));
        Assert.Contains(because, error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_old_proposal_can_still_be_decided_by_another_person()
    {
        using var temp = new TempStores(Filled(4, out _));
        await temp.Write(t => t.Connection!.Execute(
            "INSERT INTO coefficientDecision (setId, decision, fromTime, actor, role, time, note, softwareVersion) VALUES (2, 'approved', 5, 'b', 'calibration-lead', 9, 'n', '1')", transaction: t));
        Assert.Equal(2, temp.Stores.Database.Read(c => c.ExecuteScalar<long>("SELECT count(*) FROM coefficientDecision")));
    }

    // A row in every table, each column with a value of its type; all refer to number 1, or 'a'.
    private static string Filled(long version, out Dictionary<string, List<Dictionary<string, object?>>> rows)
    {
        var folder = new DataFolder(TempStores.NewFolder());
        using var connection = new SqliteConnection($"Data Source={folder.DatabaseFile};Pooling=False");
        connection.Open();
        connection.Execute("PRAGMA foreign_keys = OFF"); // tables are filled in order of their names
        Migrations.Apply(connection, folder.DatabaseFile, [.. Migrations.Scripts.Where(s => s.Version <= version)]);
        foreach (var table in Tables(connection))
        {
            var columns = connection.Query<(string Name, string Type)>("SELECT name, type FROM pragma_table_info(@table)", new { table }).ToArray();
            string Value((string Name, string Type) column) => (table, column.Name, column.Type) switch
            {
                ("coefficientSet", "evidence", _) => """'{"orbits":12}'""",
                ("coefficientDecision", "decision", _) => "'approved'",
                ("telemetryTime", "count", _) => "2",
                ("telemetryTime", "times", _) => $"x'{Convert.ToHexString(TimeCodec.Encode(Samples.TaiNanoseconds))}'",
                ("telemetryChunk", "values", _) => $"x'{Convert.ToHexString(ValueCodec.Encode(Samples))}'",
                (_, _, "INTEGER") => "1",
                (_, _, "REAL") => "1.5",
                (_, _, "TEXT") => "'a'",
                (_, _, "BLOB") => "x'01'",
                _ => throw new InvalidOperationException($"Column {column.Name} of {table} has type {column.Type}."),
            };
            connection.Execute($"INSERT INTO {table} ({string.Join(',', columns.Select(c => $"\"{c.Name}\""))}) VALUES ({string.Join(',', columns.Select(Value))})");
        }
        connection.Execute("INSERT INTO coefficientSet (id, name, hash, json, validFrom, proposedBy, proposed, basis, evidence) VALUES (2, 'second', x'02', '{}', 4, 'a', 3, '', '{}')");
        Assert.Empty(connection.Query("PRAGMA foreign_key_check"));
        rows = Rows(connection);
        return folder.Root;
    }

    private static string[] Tables(System.Data.IDbConnection connection) =>
        [.. connection.Query<string>("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")];

    private static Dictionary<string, List<Dictionary<string, object?>>> Rows(System.Data.IDbConnection connection) => Tables(connection).ToDictionary(t => t, t =>
        connection.Query($"SELECT * FROM \"{t}\" ORDER BY 1").Select(r => ((IDictionary<string, object?>)r).ToDictionary(c => c.Key, c => c.Value is byte[] bytes ? Convert.ToHexString(bytes) : c.Value)).ToList());
}
