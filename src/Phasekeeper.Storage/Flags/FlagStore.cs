using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Flags and the steps of their lives. Nothing is deleted: a flag whose ground is gone is withdrawn.</summary>
public sealed class FlagStore(Database database)
{
    /// <summary>Adds a flag with its first step; gives its id.</summary>
    public static long Add(IDbTransaction transaction, FlagRow flag, string step, string actor, string note = "")
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var id = transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO flag (rule, ruleVersion, subject, view, line, severity, state, "from", "to", firstOrbit, lastOrbit, value, "limit",
                unit, message, evidence, explainedBy, coefficientSet, raised, changed)
            VALUES (@Rule, @RuleVersion, @Subject, @View, @Line, @Severity, @State, @From, @To, @FirstOrbit, @LastOrbit, @Value, @Limit,
                @Unit, @Message, @Evidence, @ExplainedBy, @CoefficientSet, @Raised, @Changed)
            RETURNING id
            """, flag, transaction);
        AddStep(transaction, id, flag.Changed, step, flag.State, actor, note);
        return id;
    }

    /// <summary>Replaces what is known of a flag (same id); with <paramref name="step"/> also records a step of its life.</summary>
    public static void Update(IDbTransaction transaction, FlagRow flag, string? step = null, string actor = "rules", string note = "")
    {
        ArgumentNullException.ThrowIfNull(transaction);
        var changed = transaction.Connection!.Execute(
            """
            UPDATE flag SET rule = @Rule, ruleVersion = @RuleVersion, subject = @Subject, view = @View, line = @Line, severity = @Severity,
                state = @State, "from" = @From, "to" = @To, firstOrbit = @FirstOrbit, lastOrbit = @LastOrbit, value = @Value,
                "limit" = @Limit, unit = @Unit, message = @Message, evidence = @Evidence, explainedBy = @ExplainedBy,
                coefficientSet = @CoefficientSet, raised = @Raised, changed = @Changed
            WHERE id = @Id
            """, flag, transaction);
        if (changed == 0) throw StorageErrors.NotFound("flag", flag.Id);
        if (step is not null) AddStep(transaction, flag.Id, flag.Changed, step, flag.State, actor, note);
    }

    /// <summary>Moves a flag to a state, with the step recorded; gives the flag as it stands then.</summary>
    /// <exception cref="KeyNotFoundException">No such flag.</exception>
    public static FlagRow Step(IDbTransaction transaction, long id, string step, string state, string actor, string note, Instant now)
    {
        var flag = Get(transaction, id) ?? throw StorageErrors.NotFound("flag", id);
        var moved = flag with { State = state, Changed = now };
        Update(transaction, moved, step, actor, note);
        return moved;
    }

    /// <summary>One flag; null when there is none.</summary>
    public FlagRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<FlagRow>("SELECT * FROM flag WHERE id = @id", new { id }));

    /// <summary>As <see cref="Get(long)"/>, within a transaction.</summary>
    public static FlagRow? Get(IDbTransaction transaction, long id) =>
        transaction.Connection!.QuerySingleOrDefault<FlagRow>("SELECT * FROM flag WHERE id = @id", new { id }, transaction);

    /// <summary>The steps of a flag, oldest first.</summary>
    public IReadOnlyList<FlagStepRow> Steps(long flag) => database.Read(c => c.Query<FlagStepRow>(
        "SELECT * FROM flagStep WHERE flag = @flag ORDER BY id", new { flag }).AsList());

    /// <summary>Flags that touch [from, to), in the order of their start; optionally of one state, severity or rule.</summary>
    public Page<FlagRow> List(Instant from, Instant to, int limit, string? next = null, string? state = null, string? severity = null, string? rule = null)
    {
        var position = Continuation.Read(next, 2) ?? [long.MinValue, long.MinValue];
        return Continuation.Page(database.Read(c => c.Query<FlagRow>(
            """
            SELECT * FROM flag
            WHERE "from" < @to AND "to" >= @from AND (@state IS NULL OR state = @state) AND (@severity IS NULL OR severity = @severity)
                AND (@rule IS NULL OR rule = @rule) AND ("from", id) > (@start, @id)
            ORDER BY "from", id LIMIT @limit + 1
            """, new { from, to, state, severity, rule, start = position[0], id = position[1], limit }).AsList()),
            limit, f => [f.From.TaiNanoseconds, f.Id]);
    }

    /// <summary>Flags of a rule that touch [from, to], for the rule engine: within its transaction.</summary>
    public static IReadOnlyList<FlagRow> OfRule(IDbTransaction transaction, string rule, Instant from, Instant to) =>
        transaction.Connection!.Query<FlagRow>(
            """SELECT * FROM flag WHERE rule = @rule AND "from" <= @to AND "to" >= @from ORDER BY "from", id""",
            new { rule, from, to }, transaction).AsList();

    /// <summary>Flags that touch an orbit.</summary>
    public IReadOnlyList<FlagRow> OfOrbits(int firstOrbit, int lastOrbit) => database.Read(c => c.Query<FlagRow>(
        """SELECT * FROM flag WHERE firstOrbit <= @lastOrbit AND lastOrbit >= @firstOrbit ORDER BY "from", id""",
        new { firstOrbit, lastOrbit }).AsList());

    private static void AddStep(IDbTransaction transaction, long flag, Instant time, string step, string state, string actor, string note) =>
        transaction.Connection!.Execute(
            "INSERT INTO flagStep (flag, time, step, state, actor, note) VALUES (@flag, @time, @step, @state, @actor, @note)",
            new { flag, time, step, state, actor, note }, transaction);
}
