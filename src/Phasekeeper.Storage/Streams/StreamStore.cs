using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Packets that are kept of one application process in one hour.</summary>
public sealed record CoverageRow
{
    /// <summary>Hour bucket.</summary>
    public required long Hour { get; init; }
    /// <summary>Application process id.</summary>
    public required int Apid { get; init; }
    /// <summary>Number of packets used.</summary>
    public required long Count { get; init; }
    /// <summary>Time of the first.</summary>
    public required Instant FirstTime { get; init; }
    /// <summary>Time of the last.</summary>
    public required Instant LastTime { get; init; }
    /// <summary>Sequence count of the first.</summary>
    public required int FirstSequence { get; init; }
    /// <summary>Sequence count of the last.</summary>
    public required int LastSequence { get; init; }
}

/// <summary>Something odd in the stream of packets: kind gap, clockJump or conflict.</summary>
public sealed record StreamEventRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>Hour bucket that found it.</summary>
    public required long Hour { get; init; }
    /// <summary>gap | clockJump | conflict.</summary>
    public required string Kind { get; init; }
    /// <summary>Application process id.</summary>
    public required int Apid { get; init; }
    /// <summary>Last good time before it.</summary>
    public required Instant From { get; init; }
    /// <summary>First time after it.</summary>
    public required Instant To { get; init; }
    /// <summary>gap: missing packets; clockJump: jump in seconds; conflict: number of losers.</summary>
    public required double Amount { get; init; }
    /// <summary>One sentence.</summary>
    public string Detail { get; init; } = "";
}

/// <summary>What the decode stage learns about the stream itself, replaced hour by hour: coverage, gaps, clock jumps, conflicts.</summary>
public sealed class StreamStore(Database database)
{
    /// <summary>Kind of a gap in the sequence counts.</summary>
    public const string Gap = "gap";

    /// <summary>Kind of a time that jumps against the sequence counts.</summary>
    public const string ClockJump = "clockJump";

    /// <summary>Kind of two packets that claim one place.</summary>
    public const string Conflict = "conflict";

    /// <summary>Replaces what an hour says.</summary>
    public static void ReplaceHour(IDbTransaction transaction, long hour, IEnumerable<CoverageRow> coverage, IEnumerable<StreamEventRow> events)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var connection = transaction.Connection!;
        connection.Execute("DELETE FROM coverage WHERE hour = @hour; DELETE FROM streamEvent WHERE hour = @hour", new { hour }, transaction);
        connection.Execute(
            """
            INSERT INTO coverage (hour, apid, count, firstTime, lastTime, firstSequence, lastSequence)
            VALUES (@Hour, @Apid, @Count, @FirstTime, @LastTime, @FirstSequence, @LastSequence)
            """, coverage, transaction);
        connection.Execute(
            """
            INSERT INTO streamEvent (hour, kind, apid, "from", "to", amount, detail) VALUES (@Hour, @Kind, @Apid, @From, @To, @Amount, @Detail)
            """, events, transaction);
    }

    /// <summary>Coverage of one hour, by APID.</summary>
    public IReadOnlyList<CoverageRow> OfHour(long hour) => database.Read(c => c.Query<CoverageRow>(
        "SELECT * FROM coverage WHERE hour = @hour ORDER BY apid", new { hour }).AsList());

    /// <summary>Coverage of the hours first…last (inclusive), by hour and APID.</summary>
    public IReadOnlyList<CoverageRow> OfHours(long first, long last) => database.Read(c => c.Query<CoverageRow>(
        "SELECT * FROM coverage WHERE hour BETWEEN @first AND @last ORDER BY hour, apid", new { first, last }).AsList());

    /// <summary>Coverage of the hours that touch [from, to), by hour and APID.</summary>
    public IReadOnlyList<CoverageRow> Coverage(Instant from, Instant to) => database.Read(c => c.Query<CoverageRow>(
        "SELECT * FROM coverage WHERE hour BETWEEN @first AND @last AND lastTime >= @from AND firstTime < @to ORDER BY hour, apid",
        new { first = Hour.Of(from), last = Hour.Of(to), from, to }).AsList());

    /// <summary>Events that touch [from, to), in order; of one kind, or all.</summary>
    public IReadOnlyList<StreamEventRow> Events(Instant from, Instant to, string? kind = null) => database.Read(c => c.Query<StreamEventRow>(
        """
        SELECT * FROM streamEvent WHERE "from" < @to AND "to" >= @from AND (@kind IS NULL OR kind = @kind) ORDER BY "from", apid, kind, id
        """, new { from, to, kind }).AsList());
}
