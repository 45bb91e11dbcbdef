using System.Data;
using Dapper;
using Phasekeeper.Core.SignOff;

namespace Phasekeeper.Storage;

/// <summary>Sign-offs of days. Only ever added to (triggers of the schema): a later one of the same day supersedes.</summary>
public sealed class SignOffStore(Database database)
{
    private const string Columns = "id, day, revision, verdict, proposed, proposal, groundKey, remark, actor, role, time";

    /// <summary>Adds a sign-off with what it rests on; gives its id.</summary>
    public static long Add(IDbTransaction transaction, SignOffRow row, DayGround ground)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(row);
        ArgumentNullException.ThrowIfNull(ground);
        return transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO signOff (day, revision, verdict, proposed, proposal, ground, groundKey, remark, actor, role, time)
            VALUES (@Day, @Revision, @Verdict, @Proposed, @Proposal, @ground, @GroundKey, @Remark, @Actor, @Role, @Time) RETURNING id
            """,
            new { row.Day, row.Revision, row.Verdict, row.Proposed, row.Proposal, ground = Zstd.Frame(ground.ToJson()), row.GroundKey, row.Remark, row.Actor, row.Role, row.Time }, transaction);
    }

    /// <summary>The sign-off that counts for a day; null when it has none.</summary>
    public SignOffRow? Newest(long day) => database.Read(c => c.QuerySingleOrDefault<SignOffRow>($"SELECT {Columns} FROM signOff WHERE day = @day ORDER BY revision DESC LIMIT 1", new { day }));

    /// <summary>All sign-offs of a day, oldest first.</summary>
    public IReadOnlyList<SignOffRow> OfDay(long day) => database.Read(c => c.Query<SignOffRow>($"SELECT {Columns} FROM signOff WHERE day = @day ORDER BY revision", new { day }).AsList());

    /// <summary>The sign-offs that count, of the days from first to last (both included), by day.</summary>
    public IReadOnlyDictionary<long, SignOffRow> Between(long first, long last) => database.Read(c => c.Query<SignOffRow>(
        $"SELECT {Columns} FROM signOff s WHERE day BETWEEN @first AND @last AND revision = (SELECT max(revision) FROM signOff WHERE day = s.day) ORDER BY day", new { first, last }).ToDictionary(r => r.Day));

    /// <summary>What a sign-off rests on.</summary>
    /// <exception cref="InvalidOperationException">There is no sign-off of that id.</exception>
    public DayGround Ground(long id) => DayGround.FromJson(Zstd.Unframe(database.Read(c => c.QuerySingle<byte[]>("SELECT ground FROM signOff WHERE id = @id", new { id }))));
}
