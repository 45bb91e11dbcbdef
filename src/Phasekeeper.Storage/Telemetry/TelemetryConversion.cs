using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage;

/// <summary>
/// Takes telemetry over from a database of before schema 17, hour by hour, in the transaction of the new schema: a start that is killed meanwhile finds the old one. Values stay as they were packed
/// (their raw numbers are not known) until their hour is decoded again.
/// </summary>
internal static class TelemetryConversion
{
    /// <summary>The schema that it belongs to.</summary>
    public const long Version = 17;

    public static void Run(SqliteConnection connection, SqliteTransaction transaction)
    {
        var channels = connection.Query<(long Id, string Name, string Unit, string Description, string? Role)>("SELECT id, name, unit, description, role FROM channel", transaction: transaction)
            .ToDictionary(c => c.Id, c => new TelemetryChannel(c.Name, c.Unit, c.Description, c.Role));
        foreach (var hour in connection.Query<long>("SELECT DISTINCT hour FROM telemetryChunk ORDER BY hour", transaction: transaction).ToList())
        {
            var times = connection.Query<(long Hash, int Count, byte[] Times)>("SELECT hash, count, times FROM telemetryTime WHERE hour = @hour", new { hour }, transaction)
                .ToDictionary(t => t.Hash, t => TimeCodec.Decode(t.Times, t.Count));
            var chunks = connection.Query<(long Channel, long Hash, byte[] Values)>("""SELECT channel, timeHash, "values" FROM telemetryChunk WHERE hour = @hour ORDER BY channel""", new { hour }, transaction)
                .Select(c => new ChannelChunk(channels[c.Channel], ValueCodec.Decode(c.Values, times[c.Hash]))).ToList();
            TelemetryStore.ReplaceHour(transaction, hour, chunks);
        }
        connection.Execute("DROP TABLE telemetryChunk; DROP TABLE telemetryTime", transaction: transaction);
    }
}
