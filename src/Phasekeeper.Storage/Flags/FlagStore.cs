using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Flags and the steps of their lives. Nothing is deleted: a flag whose ground is gone is withdrawn.</summary>
public sealed class FlagStore(Database database)
{
    /// <summary>Adds a flag or replaces what is known of it; with <paramref name="step"/> also records a step of its life.</summary>
    public static void Put(IDbTransaction transaction, FlagRow flag, string? step, string actor, string note = "")
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(flag);
        transaction.Connection!.Execute(
            """
            INSERT INTO flag (id, rule, ruleVersion, subject, view, line, severity, state, "from", "to", firstOrbit, lastOrbit, value, "limit",
                unit, message, evidence, explainedBy, coefficientSet, body, raised, changed)
            VALUES (@Id, @Rule, @RuleVersion, @Subject, @View, @Line, @Severity, @State, @From, @To, @FirstOrbit, @LastOrbit, @Value, @Limit,
                @Unit, @Message, @Evidence, @ExplainedBy, @CoefficientSet, @Body, @Raised, @Changed)
            ON CONFLICT (id) DO UPDATE SET rule = excluded.rule, ruleVersion = excluded.ruleVersion, subject = excluded.subject, view = excluded.view,
                line = excluded.line, severity = excluded.severity, state = excluded.state, "from" = excluded."from", "to" = excluded."to",
                firstOrbit = excluded.firstOrbit, lastOrbit = excluded.lastOrbit, value = excluded.value, "limit" = excluded."limit",
                unit = excluded.unit, message = excluded.message, evidence = excluded.evidence, explainedBy = excluded.explainedBy,
                coefficientSet = excluded.coefficientSet, body = excluded.body, changed = excluded.changed
            """, flag, transaction);
        if (step is not null) AddStep(transaction, flag.Id, flag.Changed, step, flag.State, actor, note);
    }

    /// <summary>One flag; null when there is none.</summary>
    public FlagRow? Get(string id) => database.Read(c => c.QuerySingleOrDefault<FlagRow>("SELECT * FROM flag WHERE id = @id", new { id }));

    /// <summary>As <see cref="Get(string)"/>, within a transaction.</summary>
    public static FlagRow? Get(IDbTransaction transaction, string id) =>
        transaction.Connection!.QuerySingleOrDefault<FlagRow>("SELECT * FROM flag WHERE id = @id", new { id }, transaction);

    /// <summary>The steps of a flag, oldest first.</summary>
    public IReadOnlyList<FlagStepRow> Steps(string flag) => database.Read(c => c.Query<FlagStepRow>(
        "SELECT * FROM flagStep WHERE flag = @flag ORDER BY id", new { flag }).AsList());

    /// <summary>Flags that touch [from, to), in the order of their start; optionally of one state, severity or rule.</summary>
    public Page<FlagRow> List(Instant from, Instant to, int limit, string? next = null, string? state = null, string? severity = null, string? rule = null)
    {
        var after = Continuation.ReadParts(next, 2);
        var rows = database.Read(c => c.Query<FlagRow>(PageSql,
            new { afterFrom = after is null ? long.MinValue : Continuation.Number(next!, after[0]), afterId = after?[1] ?? "", from, to, state, severity, rule, limit }).AsList());
        return Continuation.Page(rows, limit, r => [Continuation.Text(r.From.TaiNanoseconds), r.Id]);
    }

    internal const string PageSql =
        """
        SELECT * FROM flag
        WHERE ("from", id) > (@afterFrom, @afterId) AND "from" < @to AND "to" >= @from AND (@state IS NULL OR state = @state) AND (@severity IS NULL OR severity = @severity)
            AND (@rule IS NULL OR rule = @rule)
        ORDER BY "from", id LIMIT @limit + 1
        """;

    /// <summary>Flags of a rule, withdrawn ones included, that touch the orbits.</summary>
    public IReadOnlyList<FlagRow> OfRule(string rule, int firstOrbit, int lastOrbit) => database.Read(c => c.Query<FlagRow>(
        "SELECT * FROM flag WHERE rule = @rule AND firstOrbit <= @lastOrbit AND lastOrbit >= @firstOrbit ORDER BY firstOrbit, id",
        new { rule, firstOrbit, lastOrbit }).AsList());

    /// <summary>Flags that are not withdrawn and touch [from, to).</summary>
    public IReadOnlyList<FlagRow> Standing(Instant from, Instant to) => database.Read(c => c.Query<FlagRow>(
        """SELECT * FROM flag WHERE "from" < @to AND "to" >= @from AND state <> 'withdrawn' ORDER BY "from", id""", new { from, to }).AsList());

    /// <summary>Flags that touch an orbit.</summary>
    public IReadOnlyList<FlagRow> OfOrbits(int firstOrbit, int lastOrbit) => database.Read(c => c.Query<FlagRow>(
        """SELECT * FROM flag WHERE firstOrbit <= @lastOrbit AND lastOrbit >= @firstOrbit ORDER BY "from", id""",
        new { firstOrbit, lastOrbit }).AsList());

    /// <summary>As <see cref="OfOrbits(int, int)"/>, within a transaction: sees what it has written.</summary>
    public static IReadOnlyList<FlagRow> OfOrbits(IDbTransaction transaction, int firstOrbit, int lastOrbit) => transaction.Connection!.Query<FlagRow>(
        """SELECT * FROM flag WHERE firstOrbit <= @lastOrbit AND lastOrbit >= @firstOrbit ORDER BY "from", id""",
        new { firstOrbit, lastOrbit }, transaction).AsList();

    private static void AddStep(IDbTransaction transaction, string flag, Instant time, string step, string state, string actor, string note) =>
        transaction.Connection!.Execute(
            "INSERT INTO flagStep (flag, time, step, state, actor, note) VALUES (@flag, @time, @step, @state, @actor, @note)",
            new { flag, time, step, state, actor, note }, transaction);
}
