using System.Data;
using System.IO.Compression;
using System.Text;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>A plot as it was seen, without its document.</summary>
public sealed record FlagPlotRow
{
    /// <summary>Id.</summary>
    public long Id { get; init; }
    /// <summary>The flag.</summary>
    public required string Flag { get; init; }
    /// <summary>The step with which it was attached.</summary>
    public long Step { get; init; }
    /// <summary>Title of the plot.</summary>
    public required string Title { get; init; }
    /// <summary>Address of its data then.</summary>
    public required string Url { get; init; }
    /// <summary>Bytes of the document, not compressed.</summary>
    public long Length { get; init; }
    /// <summary>Who attached it.</summary>
    public required string Actor { get; init; }
    /// <summary>When, wall clock.</summary>
    public required Instant Time { get; init; }
    /// <summary>What they wrote.</summary>
    public string Note { get; init; } = "";
}

/// <summary>A place where a person is mentioned.</summary>
/// <param name="Step">Place of the comment in the sequence of steps.</param>
/// <param name="Flag">The flag.</param>
/// <param name="Time">When, wall clock.</param>
/// <param name="Actor">Who mentions.</param>
/// <param name="Note">The comment.</param>
/// <param name="Message">The flag's sentence.</param>
/// <param name="Severity">The flag's severity.</param>
/// <param name="State">The flag's state as shown.</param>
public sealed record FlagMentionRow(long Step, string Flag, Instant Time, string Actor, string Note, string Message, string Severity, string State);

/// <summary>What people say about flags and put beside them: mentions, links and plots as seen. The words themselves are steps (<see cref="FlagLifeStore"/>).</summary>
public sealed class FlagTalkStore(Database database)
{
    /// <summary>Notes that a comment mentions a person.</summary>
    public static void Mention(IDbTransaction transaction, string flag, long step, string person)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("INSERT INTO flagMention (person, step, flag) VALUES (@person, @step, @flag)", new { person, step, flag }, transaction);
    }

    /// <summary>Where a person is mentioned, newest first.</summary>
    public IReadOnlyList<FlagMentionRow> Mentions(string person, int limit) => database.Read(c => c.Query<FlagMentionRow>(MentionsSql, new { person, limit }).AsList());

    internal const string MentionsSql =
        """
        SELECT m.step, m.flag, s.time, s.actor, s.note, f.message, f.severity, l.shown AS state
        FROM flagMention m CROSS JOIN flagStep s ON s.id = m.step CROSS JOIN flag f ON f.id = m.flag CROSS JOIN flagLife l ON l.flag = m.flag
        WHERE m.person = @person ORDER BY m.step DESC LIMIT @limit
        """;

    /// <summary>People mentioned by a step.</summary>
    public IReadOnlyList<string> MentionedBy(string flag, long step) => database.Read(c => c.Query<string>(
        "SELECT person FROM flagMention WHERE step = @step AND flag = @flag ORDER BY person", new { step, flag }).AsList());

    /// <summary>Links two flags, both ways; false when they are already.</summary>
    public static bool Link(IDbTransaction transaction, string flag, string other, string actor, Instant time)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Execute(
            "INSERT INTO flagLink (flag, other, actor, time) VALUES (@flag, @other, @actor, @time), (@other, @flag, @actor, @time) ON CONFLICT DO NOTHING", new { flag, other, actor, time }, transaction) > 0;
    }

    /// <summary>Takes a link away, both ways; false when there is none.</summary>
    public static bool Unlink(IDbTransaction transaction, string flag, string other)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Execute(
            "DELETE FROM flagLink WHERE (flag, other) IN (VALUES (@flag, @other), (@other, @flag))", new { flag, other }, transaction) > 0;
    }

    /// <summary>Flags that a flag is linked with.</summary>
    public IReadOnlyList<FlagRow> Linked(string flag) => database.Read(c => c.Query<FlagRow>(
        $"""SELECT {FlagStore.Columns} FROM flagLink k CROSS JOIN flag ON id = k.other CROSS JOIN flagLife l ON l.flag = id WHERE k.flag = @flag ORDER BY flag."from", id""", new { flag }).AsList());

    /// <summary>Keeps a plot as seen; gives its id.</summary>
    /// <param name="transaction">The step's transaction.</param>
    /// <param name="plot">Title, address, flag and step.</param>
    /// <param name="document">The document, JSON.</param>
    public static long Attach(IDbTransaction transaction, FlagPlotRow plot, string document)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(plot);
        var bytes = Encoding.UTF8.GetBytes(document);
        return transaction.Connection!.ExecuteScalar<long>(
            "INSERT INTO flagPlot (flag, step, title, url, length, document) VALUES (@Flag, @Step, @Title, @Url, @length, @packed) RETURNING id",
            new { plot.Flag, plot.Step, plot.Title, plot.Url, length = (long)bytes.Length, packed = Pack(bytes) }, transaction);
    }

    /// <summary>Plots attached to a flag, oldest first.</summary>
    public IReadOnlyList<FlagPlotRow> Plots(string flag) => database.Read(c => c.Query<FlagPlotRow>(
        """
        SELECT p.id, p.flag, p.step, p.title, p.url, p.length, s.actor, s.time, s.note FROM flagPlot p CROSS JOIN flagStep s ON s.id = p.step WHERE p.flag = @flag ORDER BY p.id
        """, new { flag }).AsList());

    /// <summary>Document of a plot, JSON as it came; null when the flag has none of that id.</summary>
    public string? Document(string flag, long id) => database.Read(c => c.QuerySingleOrDefault<byte[]>(
        "SELECT document FROM flagPlot WHERE id = @id AND flag = @flag", new { id, flag })) is { } packed ? Unpack(packed) : null;

    private static byte[] Pack(byte[] bytes)
    {
        using var packed = new MemoryStream();
        using (var brotli = new BrotliStream(packed, CompressionLevel.Optimal)) brotli.Write(bytes);
        return packed.ToArray();
    }

    private static string Unpack(byte[] packed)
    {
        using var brotli = new BrotliStream(new MemoryStream(packed), CompressionMode.Decompress);
        using var text = new StreamReader(brotli, Encoding.UTF8);
        return text.ReadToEnd();
    }
}
