using System.Data;
using Dapper;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;

namespace Phasekeeper.Storage;

/// <summary>The lives of flags, and their steps. A life exists as soon as its flag does.</summary>
public sealed class FlagLifeStore(Database database)
{
    private const string Columns = "id, flag, time, step, state, actor, role, note, severity, cause, other, revision";
    private const string LifeSql =
        "SELECT state, stands, revision, holder, cause, explanation, seenSeverity, seenFirstOrbit, seenLastOrbit, seenSeries FROM flagLife WHERE flag = @flag";

    /// <summary>Life of a flag; a fresh one where there is no such flag.</summary>
    public FlagLife Get(string flag) => database.Read(c => c.QuerySingleOrDefault<LifeRow>(LifeSql, new { flag })?.ToLife() ?? FlagLife.Fresh);

    /// <summary>As <see cref="Get(string)"/>, within a transaction.</summary>
    public static FlagLife Get(IDbTransaction transaction, string flag) =>
        transaction.Connection!.QuerySingleOrDefault<LifeRow>(LifeSql, new { flag }, transaction)?.ToLife() ?? FlagLife.Fresh;

    /// <summary>
    /// Replaces a life, as long as nobody else has since <paramref name="before"/> was read: the last guard, whatever the caller has compared.
    /// </summary>
    /// <returns>False when the stored revision is another one.</returns>
    public static bool Save(IDbTransaction transaction, string flag, FlagLife before, FlagLife after)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        return transaction.Connection!.Execute(
            """
            UPDATE flagLife SET state = @state, revision = @Revision, holder = @Holder, cause = @Cause, explanation = @Explanation, seenSeverity = @severity, seenFirstOrbit = @FirstOrbit, seenLastOrbit = @LastOrbit,
                seenSeries = @Series
            WHERE flag = @flag AND revision = @was
            """,
            new
            {
                flag,
                was = before.Revision,
                state = Word(after.State),
                after.Revision,
                after.Holder,
                after.Cause,
                after.Explanation,
                severity = after.Seen?.Severity.ToString().ToLowerInvariant(),
                after.Seen?.FirstOrbit,
                after.Seen?.LastOrbit,
                after.Seen?.Series,
            }, transaction) == 1;
    }

    /// <summary>Adds a step; gives its place in the sequence.</summary>
    public static long AddStep(IDbTransaction transaction, FlagStepRow step)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO flagStep (flag, time, step, state, actor, role, note, severity, cause, other, revision)
            VALUES (@Flag, @Time, @Step, @State, @Actor, @Role, @Note, @Severity, @Cause, @Other, @Revision) RETURNING id
            """, step, transaction);
    }

    /// <summary>The steps of a flag, oldest first.</summary>
    public IReadOnlyList<FlagStepRow> Steps(string flag) => database.Read(c => c.Query<FlagStepRow>(
        $"SELECT {Columns} FROM flagStep WHERE flag = @flag ORDER BY id", new { flag }).AsList());

    /// <summary>Steps of a flag that came behind a revision of its life, oldest first, within a transaction.</summary>
    public static IReadOnlyList<FlagStepRow> Since(IDbTransaction transaction, string flag, long revision)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Query<FlagStepRow>(
            $"SELECT {Columns} FROM flagStep WHERE flag = @flag AND revision > @revision ORDER BY id", new { flag, revision }, transaction).AsList();
    }

    /// <summary>Steps of all flags behind a place in the sequence, oldest first: what a queue of notices reads.</summary>
    public IReadOnlyList<FlagStepRow> After(long id, int limit = 1000) => database.Read(c => c.Query<FlagStepRow>(AfterSql, new { id, limit }).AsList());

    internal const string AfterSql = $"SELECT {Columns} FROM flagStep WHERE id > @id ORDER BY id LIMIT @limit";

    /// <summary>Place of the newest step; 0 when there is none.</summary>
    public long LastStep => database.Read(c => c.ExecuteScalar<long>("SELECT coalesce(max(id), 0) FROM flagStep"));

    /// <summary>State of a life as shown, as it is spelled.</summary>
    public static string Word(FlagLife life)
    {
        ArgumentNullException.ThrowIfNull(life);
        return Word(life.Shown);
    }

    private static string Word(LifeState state) => state.ToString().ToLowerInvariant();

    private sealed record LifeRow
    {
        public string State { get; init; } = "";
        public bool Stands { get; init; }
        public long Revision { get; init; }
        public string? Holder { get; init; }
        public string? Cause { get; init; }
        public string? Explanation { get; init; }
        public string? SeenSeverity { get; init; }
        public int? SeenFirstOrbit { get; init; }
        public int? SeenLastOrbit { get; init; }
        public string? SeenSeries { get; init; }

        public FlagLife ToLife() => new()
        {
            State = Enum.Parse<LifeState>(State, ignoreCase: true),
            Stands = Stands,
            Revision = Revision,
            Holder = Holder,
            Cause = Cause,
            Explanation = Explanation,
            Seen = SeenSeverity is null ? null : new(Enum.Parse<FlagSeverity>(SeenSeverity, ignoreCase: true), SeenFirstOrbit ?? 0, SeenLastOrbit ?? 0, SeenSeries ?? ""),
        };
    }
}
