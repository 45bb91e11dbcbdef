using System.Data;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Flags as rules derive them, read together with what people did with them (<see cref="FlagLifeStore"/>). Nothing is deleted: a flag whose ground is gone is withdrawn.
/// </summary>
public sealed class FlagStore(Database database)
{
    internal const string Columns =
        """
        flag.id, rule, ruleVersion, subject, view, line, severity, shown AS state, revision, holder, cause, flag."from", "to", firstOrbit, lastOrbit, value, "limit", unit, message, evidence, explainedBy, coefficientSet,
            body, raised, changed
        """;

    /// <summary>Adds a flag or replaces what rules know of it, and keeps its life in step with where it begins and whether it stands; with <paramref name="step"/> also records a step of its life.</summary>
    /// <exception cref="ArgumentException">The state is not one of the rules.</exception>
    public static void Put(IDbTransaction transaction, FlagRow flag, string? step, string actor, string note = "")
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(flag);
        if (flag.State is not ("raised" or "withdrawn")) throw new ArgumentException($"Found the state '{flag.State}' of flag {flag.Id}; rules leave a flag raised or withdrawn, the rest is its life.", nameof(flag));
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
        transaction.Connection!.Execute(
            """
            INSERT INTO flagLife (flag, "from", stands) VALUES (@Id, @From, @stands) ON CONFLICT (flag) DO UPDATE SET "from" = excluded."from", stands = excluded.stands
            """, new { flag.Id, flag.From, stands = flag.State != "withdrawn" }, transaction);
        if (step is null) return;
        var life = FlagLifeStore.Get(transaction, flag.Id);
        FlagLifeStore.AddStep(transaction, new() { Flag = flag.Id, Time = flag.Changed, Step = step, State = FlagLifeStore.Word(life), Actor = actor, Note = note, Severity = flag.Severity, Revision = life.Revision });
    }

    /// <summary>One flag; null when there is none.</summary>
    public FlagRow? Get(string id) => database.Read(c => c.QuerySingleOrDefault<FlagRow>($"SELECT {Columns} FROM flag JOIN flagLife l ON l.flag = id WHERE id = @id", new { id }));

    /// <summary>As <see cref="Get(string)"/>, within a transaction.</summary>
    public static FlagRow? Get(IDbTransaction transaction, string id) =>
        transaction.Connection!.QuerySingleOrDefault<FlagRow>($"SELECT {Columns} FROM flag JOIN flagLife l ON l.flag = id WHERE id = @id", new { id }, transaction);

    /// <summary>Several flags, in the order of their start.</summary>
    public IReadOnlyList<FlagRow> Of(IReadOnlyCollection<string> ids) => database.Read(c => c.Query<FlagRow>(
        $"""SELECT {Columns} FROM flag JOIN flagLife l ON l.flag = id WHERE id IN @ids ORDER BY flag."from", id""", new { ids }).AsList());

    /// <summary>Flags that touch [from, to), in the order of their start; optionally of one state, severity or rule.</summary>
    public Page<FlagRow> List(Instant from, Instant to, int limit, string? next = null, string? state = null, string? severity = null, string? rule = null)
    {
        var after = Continuation.ReadParts(next, 2);
        var rows = database.Read(c => c.Query<FlagRow>(state is null ? PageSql : StatePageSql,
            new { afterFrom = after is null ? long.MinValue : Continuation.Number(next!, after[0]), afterId = after?[1] ?? "", from, to, state, severity, rule, limit }).AsList());
        return Continuation.Page(rows, limit, r => [Continuation.Text(r.From.TaiNanoseconds), r.Id]);
    }

    // CROSS JOIN keeps SQLite from turning the search around.
    internal const string PageSql =
        $"""
        SELECT {Columns} FROM flag CROSS JOIN flagLife l ON l.flag = id
        WHERE (flag."from", id) > (@afterFrom, @afterId) AND flag."from" < @to AND "to" >= @from AND (@severity IS NULL OR severity = @severity) AND (@rule IS NULL OR rule = @rule)
        ORDER BY flag."from", id LIMIT @limit + 1
        """;

    internal const string StatePageSql =
        $"""
        SELECT {Columns} FROM flagLife l CROSS JOIN flag ON id = l.flag
        WHERE shown = @state AND (l."from", l.flag) > (@afterFrom, @afterId) AND l."from" < @to AND "to" >= @from AND (@severity IS NULL OR severity = @severity) AND (@rule IS NULL OR rule = @rule)
        ORDER BY l."from", l.flag LIMIT @limit + 1
        """;

    /// <summary>Flags that match, the newest start first.</summary>
    public Page<FlagRow> Newest(FlagQuery query, int limit, string? next = null)
    {
        ArgumentNullException.ThrowIfNull(query);
        var before = Continuation.ReadParts(next, 2);
        var rows = database.Read(c => c.Query<FlagRow>(NewestSql(query), new
        {
            beforeFrom = before is null ? query.Until?.TaiNanoseconds ?? long.MaxValue : Continuation.Number(next!, before[0]),
            beforeId = before?[1] ?? "",
            query.State,
            query.Severity,
            query.Rule,
            query.Holder,
            query.Cause,
            query.From,
            query.Orbit,
            words = LikePattern.Holding(query.Words),
            limit,
        }).AsList());
        return Continuation.Page(rows, limit, r => [Continuation.Text(r.From.TaiNanoseconds), r.Id]);
    }

    // The narrowest of what is asked for is searched by, the rest looked at in passing.
    internal static string NewestSql(FlagQuery query)
    {
        var (search, by) = query switch
        {
            { Holder: not null } => ("flagLife l CROSS JOIN flag ON id = l.flag", "holder = @Holder AND "),
            { Cause: not null } => ("flagLife l CROSS JOIN flag ON id = l.flag", "cause = @Cause AND "),
            { State: not null } => ("flagLife l CROSS JOIN flag ON id = l.flag", "shown = @State AND "),
            _ => ("flag CROSS JOIN flagLife l ON l.flag = id", ""),
        };
        var key = by.Length > 0 ? "l.\"from\", l.flag" : "flag.\"from\", id";
        var more = (query.State, by.StartsWith("shown", StringComparison.Ordinal)) switch { (null, _) => query.WithWithdrawn ? "" : " AND stands", (_, true) => "", _ => " AND +shown = @State" };
        if (query.Cause is not null && query.Holder is not null) more += " AND +cause = @Cause";
        return $"""
            SELECT {Columns} FROM {search}
            WHERE {by}({key}) < (@beforeFrom, @beforeId){more} AND (@Severity IS NULL OR severity = @Severity) AND (@Rule IS NULL OR rule = @Rule)
                AND (@From IS NULL OR "to" >= @From) AND (@Orbit IS NULL OR (firstOrbit <= @Orbit AND lastOrbit >= @Orbit))
                AND (@words IS NULL OR message LIKE @words ESCAPE '\' OR flag.id LIKE @words ESCAPE '\' OR rule LIKE @words ESCAPE '\' OR subject LIKE @words ESCAPE '\')
            ORDER BY {key.Replace(",", " DESC,", StringComparison.Ordinal)} DESC LIMIT @limit + 1
            """;
    }

    /// <summary>Flags of a rule, withdrawn ones included, that touch the orbits.</summary>
    public IReadOnlyList<FlagRow> OfRule(string rule, int firstOrbit, int lastOrbit) => database.Read(c => c.Query<FlagRow>(
        $"SELECT {Columns} FROM flag JOIN flagLife l ON l.flag = id WHERE rule = @rule AND firstOrbit <= @lastOrbit AND lastOrbit >= @firstOrbit ORDER BY firstOrbit, id",
        new { rule, firstOrbit, lastOrbit }).AsList());

    /// <summary>Flags that are not withdrawn and begin in [from, to), the newest of them when there are more than <paramref name="limit"/>.</summary>
    public IReadOnlyList<FlagRow> Beginning(Instant from, Instant to, int limit) => database.Read(c => c.Query<FlagRow>(BeginningSql, new { from, to, limit }).AsList());

    internal const string BeginningSql =
        $"""
        SELECT {Columns} FROM flag CROSS JOIN flagLife l ON l.flag = id WHERE flag."from" >= @from AND flag."from" < @to AND stands ORDER BY flag."from" DESC, id DESC LIMIT @limit
        """;

    /// <summary>Flags that are not withdrawn and touch [from, to).</summary>
    public IReadOnlyList<FlagRow> Standing(Instant from, Instant to) => database.Read(c => c.Query<FlagRow>(
        $"""SELECT {Columns} FROM flag JOIN flagLife l ON l.flag = id WHERE flag."from" < @to AND "to" >= @from AND stands ORDER BY flag."from", id""", new { from, to }).AsList());

    /// <summary>Flags that touch an orbit.</summary>
    public IReadOnlyList<FlagRow> OfOrbits(int firstOrbit, int lastOrbit) => database.Read(c => c.Query<FlagRow>(OfOrbitsSql, new { firstOrbit, lastOrbit }).AsList());

    /// <summary>As <see cref="OfOrbits(int, int)"/>, within a transaction: sees what it has written.</summary>
    public static IReadOnlyList<FlagRow> OfOrbits(IDbTransaction transaction, int firstOrbit, int lastOrbit) =>
        transaction.Connection!.Query<FlagRow>(OfOrbitsSql, new { firstOrbit, lastOrbit }, transaction).AsList();

    private const string OfOrbitsSql =
        $"""SELECT {Columns} FROM flag JOIN flagLife l ON l.flag = id WHERE firstOrbit <= @lastOrbit AND lastOrbit >= @firstOrbit ORDER BY flag."from", id""";
}

/// <summary>What a list of flags is narrowed to; null = not narrowed.</summary>
public sealed record FlagQuery
{
    /// <summary>State as shown.</summary>
    public string? State { get; init; }
    /// <summary>Without a state: withdrawn ones too. Default false: those that stand.</summary>
    public bool WithWithdrawn { get; init; }
    /// <summary>Severity.</summary>
    public string? Severity { get; init; }
    /// <summary>Rule.</summary>
    public string? Rule { get; init; }
    /// <summary>Who has it.</summary>
    public string? Holder { get; init; }
    /// <summary>Cause as stated.</summary>
    public string? Cause { get; init; }
    /// <summary>Flags that touch this moment or later.</summary>
    public Instant? From { get; init; }
    /// <summary>Flags that begin before this moment.</summary>
    public Instant? Until { get; init; }
    /// <summary>Flags that touch this orbit.</summary>
    public int? Orbit { get; init; }
    /// <summary>Letters that the message, the id, the rule or the subject holds; capitals are as good as small ones.</summary>
    public string? Words { get; init; }
}
