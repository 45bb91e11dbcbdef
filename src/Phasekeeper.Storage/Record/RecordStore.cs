using System.Data;
using Dapper;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// The record of every decision and change: who, when, from where, what, before and after, why. Entries are only ever added, each within the transaction of what it records, so that
/// nothing is done without its entry and no entry tells of what was not done. Each carries the hash of the one before (<see cref="RecordHash"/>), a file beside the database holds all hashes
/// too (<see cref="RecordAnchor"/>), and <see cref="RecordVerifier"/> compares the three.
/// </summary>
public sealed class RecordStore(Database database)
{
    private const string Columns = "number, time, person, role, address, what, subject, before, after, reason, previous, hash";

    /// <summary>Adds an entry; gives its number. Call it within the transaction of the decision itself.</summary>
    /// <param name="transaction">The decision's transaction.</param>
    /// <param name="actor">Who.</param>
    /// <param name="what">Kind, one of <see cref="RecordKinds"/>.</param>
    /// <param name="subject">What it is about: a name or id that a person can look up.</param>
    /// <param name="before">What was: an object that is written as JSON; null where there was nothing.</param>
    /// <param name="after">What is now; null where nothing is left.</param>
    /// <param name="reason">Why, in the person's words; null or blank where none was given.</param>
    /// <param name="time">Wall clock; null = now.</param>
    public static long Append(IDbTransaction transaction, Actor actor, string what, string subject, object? before, object? after, string? reason, Instant? time = null)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(actor);
        ArgumentException.ThrowIfNullOrEmpty(what);
        ArgumentException.ThrowIfNullOrEmpty(subject);
        // The last place before texts are hashed: those who take them refuse before, in words.
        if (!WholeText.Is(subject) || !WholeText.Is(actor.Name) || !WholeText.Is(reason ?? "")) throw new ArgumentException($"Found {WholeText.Found} in what goes on record; expected {WholeText.Expected}.", nameof(reason));
        var (number, previous) = Head(transaction.Connection!, transaction);
        var entry = new RecordEntry
        {
            Number = number + 1,
            Time = time ?? Instant.FromDateTimeUtc(TimeProvider.System.GetUtcNow().UtcDateTime),
            Person = actor.Name,
            Role = actor.Role,
            Address = actor.Address,
            What = what,
            Subject = subject,
            Before = RecordJson.Text(before),
            After = RecordJson.Text(after),
            Reason = string.IsNullOrWhiteSpace(reason) ? null : reason.Trim(),
            Previous = previous,
        };
        transaction.Connection!.Execute(
            """
            INSERT INTO record (number, time, person, role, address, what, subject, before, after, reason, previous, hash)
            VALUES (@Number, @Time, @Person, @Role, @Address, @What, @Subject, @Before, @After, @Reason, @Previous, @Hash)
            """, entry with { Hash = RecordHash.Of(entry) }, transaction);
        return entry.Number;
    }

    /// <summary>One entry; null when there is none.</summary>
    public RecordEntry? Get(long number) => database.Read(c => c.QuerySingleOrDefault<RecordEntry>($"SELECT {Columns} FROM record WHERE number = @number", new { number }));

    /// <summary>Number of entries, and the hash of the newest.</summary>
    public (long Entries, byte[] Hash) Head() => database.Read(c => Head(c, null));

    /// <summary>Entries that match, newest first.</summary>
    public Page<RecordEntry> List(RecordFilter filter, int limit, string? next = null)
    {
        ArgumentNullException.ThrowIfNull(filter);
        var below = Continuation.Read(next, 1)?[0] ?? long.MaxValue;
        return Continuation.Page(database.Read(c => c.Query<RecordEntry>(
            $"""
            SELECT {Columns} FROM record
            WHERE number < @below AND (@Person IS NULL OR person = @Person) AND (@What IS NULL OR what = @What) AND (@Subject IS NULL OR subject = @Subject)
                AND (@From IS NULL OR time >= @From) AND (@To IS NULL OR time < @To)
                AND (@like IS NULL OR subject LIKE @like ESCAPE '\' OR after LIKE @like ESCAPE '\' OR before LIKE @like ESCAPE '\' OR reason LIKE @like ESCAPE '\' OR person LIKE @like ESCAPE '\')
            ORDER BY number DESC LIMIT @limit + 1
            """, new { below, filter.Person, filter.What, filter.Subject, filter.From, filter.To, like = LikePattern.Holding(filter.Text), limit }).AsList()), limit, r => [r.Number]);
    }

    /// <summary>Everyone who stands in the record, by name.</summary>
    public IReadOnlyList<string> People() => database.Read(c => c.Query<string>("SELECT DISTINCT person FROM record ORDER BY person").AsList());

    /// <summary>All kinds that stand in the record, by name.</summary>
    public IReadOnlyList<string> Kinds() => database.Read(c => c.Query<string>("SELECT DISTINCT what FROM record ORDER BY what").AsList());

    /// <summary>All entries in order, read one by one.</summary>
    internal static IEnumerable<RecordEntry> All(IDbConnection connection, IDbTransaction transaction) =>
        connection.Query<RecordEntry>($"SELECT {Columns} FROM record ORDER BY number", transaction: transaction, buffered: false);

    /// <summary>Number and hash of all entries behind a number.</summary>
    internal static IReadOnlyList<(long Number, byte[] Hash)> Behind(IDbTransaction transaction, long number) =>
        transaction.Connection!.Query<(long, byte[])>("SELECT number, hash FROM record WHERE number > @number ORDER BY number", new { number }, transaction).AsList();

    internal static (long Number, byte[] Hash) Head(IDbConnection connection, IDbTransaction? transaction) =>
        connection.QuerySingleOrDefault<(long, byte[]?)>("SELECT number, hash FROM record ORDER BY number DESC LIMIT 1", transaction: transaction) is (var number, { } hash)
            ? (number, hash) : (0, RecordHash.Beginning);
}
