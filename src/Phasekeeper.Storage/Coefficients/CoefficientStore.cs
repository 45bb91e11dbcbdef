using System.Data;
using System.Security.Cryptography;
using System.Text;
using Dapper;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>Coefficient sets (immutable) and the decisions about them (appended). Who may decide is not the store's business.</summary>
public sealed class CoefficientStore(Database database)
{
    private const string Select =
        """
        SELECT s.*, coalesce((SELECT decision FROM coefficientDecision d WHERE d.setId = s.id ORDER BY d.id DESC LIMIT 1), 'proposed') AS state
        FROM coefficientSet s
        """;

    /// <summary>Adds a set; a set with the same content is not added again. Gives the id.</summary>
    public static long Propose(IDbTransaction transaction, CoefficientSetRow set)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(set);
        return transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO coefficientSet (name, hash, json, validFrom, proposedBy, proposed, basis, evidence)
            VALUES (@Name, @Hash, @Json, @ValidFrom, @ProposedBy, @Proposed, @Basis, @Evidence)
            ON CONFLICT (hash) DO UPDATE SET name = name RETURNING id
            """, set with { Hash = HashOf(set.Json) }, transaction);
    }

    /// <summary>Records a decision: approved (in force from <paramref name="fromTime"/>) or declined.</summary>
    public static long Decide(IDbTransaction transaction, long setId, string decision, Instant fromTime, string actor, Instant now, string note = "") =>
        transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO coefficientDecision (setId, decision, fromTime, actor, time, note)
            VALUES (@setId, @decision, @fromTime, @actor, @now, @note) RETURNING id
            """, new { setId, decision, fromTime, actor, now, note }, transaction);

    /// <summary>One set; null when there is none.</summary>
    public CoefficientSetRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<CoefficientSetRow>(Select + " WHERE s.id = @id", new { id }));

    /// <summary>All sets, in the order in which they were proposed.</summary>
    public IReadOnlyList<CoefficientSetRow> All() => database.Read(c => c.Query<CoefficientSetRow>(Select + " ORDER BY s.id").AsList());

    /// <summary>Decisions in order; of one set, or all.</summary>
    public IReadOnlyList<CoefficientDecisionRow> Decisions(long? setId = null) => database.Read(c => c.Query<CoefficientDecisionRow>(
        "SELECT * FROM coefficientDecision WHERE @setId IS NULL OR setId = @setId ORDER BY id", new { setId }).AsList());

    /// <summary>
    /// Which set is in force from when on, in order of time: a later approval replaces earlier ones from its own start on.
    /// </summary>
    public IReadOnlyList<(Instant From, long SetId)> InForce()
    {
        var timeline = new List<(Instant From, long SetId)>();
        foreach (var decision in Decisions().Where(d => d.Decision == "approved"))
        {
            timeline.RemoveAll(t => t.From >= decision.FromTime);
            timeline.Add((decision.FromTime, decision.SetId));
        }
        return timeline;
    }

    /// <summary>SHA-256 of a set's JSON.</summary>
    public static byte[] HashOf(string json) => SHA256.HashData(Encoding.UTF8.GetBytes(json));
}
