using System.Data;
using System.Security.Cryptography;
using System.Text;
using Dapper;
using Microsoft.Data.Sqlite;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Storage;

/// <summary>
/// Coefficient sets, their evidence, and the decisions about them: all appended, never changed. The schema's triggers refuse a decision by the proposer, by another role than calibration lead, a
/// second one about the same proposal, a withdrawal by anybody but the proposer, and any change, whatever the road by which it comes.
/// </summary>
public sealed class CoefficientStore(Database database)
{
    private const string Select =
        """
        SELECT s.*, coalesce((SELECT decision FROM coefficientDecision d WHERE d.setId = s.id ORDER BY d.id DESC LIMIT 1), 'proposed') AS state
        FROM coefficientSet s
        """;

    // Everything but documents, and from indices that hold just that (0010): rows of the tables are megabytes long.
    internal const string SelectHead =
        """
        SELECT s.id, s.name, s.hash, s.validFrom, s.proposedBy, s.proposedRole, s.proposed, s.source, s.reason, s.basis, s.against, s.softwareVersion,
            coalesce((SELECT decision FROM coefficientDecision d WHERE d.setId = s.id ORDER BY d.id DESC LIMIT 1), 'proposed') AS state,
            (SELECT count(*) FROM coefficientDecision d WHERE d.setId = s.id) AS decisions,
            (SELECT count(*) FROM coefficientEvidence n WHERE n.setId = s.id) AS evidences,
            e.id AS evidenceId, e.against AS evidenceAgainst, e.computed AS evidenceComputed, e.softwareVersion AS evidenceVersion
        FROM coefficientSet s INDEXED BY coefficientSetHead
        LEFT JOIN coefficientEvidence e INDEXED BY coefficientEvidenceHead ON e.setId = s.id AND e.id = (SELECT max(n.id) FROM coefficientEvidence n WHERE n.setId = s.id)
        """;

    /// <summary>Adds a set. Gives its id, and whether it is new: a set with the same content is not added again.</summary>
    public static (long Id, bool IsNew) Propose(IDbTransaction transaction, CoefficientSetRow set)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(set);
        var hash = HashOf(set.Json);
        if (transaction.Connection!.ExecuteScalar<long?>("SELECT id FROM coefficientSet WHERE hash = @hash", new { hash }, transaction) is { } known) return (known, false);
        return (transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO coefficientSet (name, hash, json, validFrom, proposedBy, proposedRole, proposedFrom, proposed, source, reason, basis, against, softwareVersion)
            VALUES (@Name, @Hash, @Json, @ValidFrom, @ProposedBy, @ProposedRole, @ProposedFrom, @Proposed, @Source, @Reason, @Basis, @Against, @SoftwareVersion) RETURNING id
            """, set with { Hash = hash }, transaction), true);
    }

    /// <summary>Adds evidence for a set; gives its id.</summary>
    public static long AddEvidence(IDbTransaction transaction, CoefficientEvidenceRow evidence)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(evidence);
        return transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO coefficientEvidence (setId, against, computed, document, softwareVersion)
            VALUES (@SetId, @Against, @Computed, @Document, @SoftwareVersion) RETURNING id
            """, evidence, transaction);
    }

    /// <summary>Keeps what the fit behind a set said, JSON; once, with its proposal.</summary>
    public static void AddFit(IDbTransaction transaction, long setId, string document)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        transaction.Connection!.Execute("INSERT INTO coefficientFit (setId, document) VALUES (@setId, @document)", new { setId, document }, transaction);
    }

    /// <summary>What the fit behind a set said, JSON; null for a set without one.</summary>
    public string? Fit(long setId) => database.Read(c => c.ExecuteScalar<string?>("SELECT document FROM coefficientFit WHERE setId = @setId", new { setId }));

    /// <summary>Records a decision; gives its id.</summary>
    /// <exception cref="DecisionRefusedException">The store's own rules forbid it.</exception>
    public static long Decide(IDbTransaction transaction, CoefficientDecisionRow decision)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(decision);
        try
        {
            return transaction.Connection!.ExecuteScalar<long>(
                """
                INSERT INTO coefficientDecision (setId, decision, fromTime, fromOrbit, overLater, inPlaceOf, evidence, actor, role, address, time, note, softwareVersion)
                VALUES (@SetId, @Decision, @FromTime, @FromOrbit, @OverLater, @InPlaceOf, @Evidence, @Actor, @Role, @Address, @Time, @Note, @SoftwareVersion) RETURNING id
                """, decision, transaction);
        }
        catch (SqliteException e) when (e.SqliteErrorCode == ConstraintViolated)
        {
            throw StorageErrors.DecisionRefused(decision, e);
        }
    }

    // SQLITE_CONSTRAINT (sqlite3.h): unique indices, checks and RAISE(ABORT) of triggers.
    private const int ConstraintViolated = 19;

    /// <summary>One set; null when there is none.</summary>
    public CoefficientSetRow? Get(long id) => database.Read(c => Get(c, null, id));

    /// <summary>As <see cref="Get(long)"/>, within a transaction.</summary>
    public static CoefficientSetRow? Get(IDbTransaction transaction, long id) => Get(transaction.Connection!, transaction, id);

    /// <summary>Heads of all sets, in the order in which they were proposed: what lists need.</summary>
    public IReadOnlyList<CoefficientHead> Heads() => database.Read(c => c.Query<CoefficientHead>(SelectHead + " ORDER BY s.id").AsList());

    /// <summary>The head of one set; null when there is none.</summary>
    public CoefficientHead? Head(long id) => database.Read(c => c.QuerySingleOrDefault<CoefficientHead>(SelectHead + " WHERE s.id = @id", new { id }));

    /// <summary>Heads of proposals that nobody has decided about, in the order in which they were made.</summary>
    public IReadOnlyList<CoefficientHead> UndecidedHeads() => database.Read(c => c.Query<CoefficientHead>(
        SelectHead + " WHERE NOT EXISTS (SELECT 1 FROM coefficientDecision d WHERE d.setId = s.id) ORDER BY s.id").AsList());

    /// <summary>Heads of sets of one source (<see cref="CoefficientSource"/>), in the order in which they were proposed.</summary>
    public IReadOnlyList<CoefficientHead> HeadsBySource(string source) => database.Read(c => c.Query<CoefficientHead>(SelectHead + " WHERE s.source = @source ORDER BY s.id", new { source }).AsList());

    /// <summary>Numbers and names of all sets, within a transaction.</summary>
    public static IReadOnlyList<(long Id, string Name)> Names(IDbTransaction transaction) => transaction.Connection!.Query<(long, string)>(
        "SELECT id, name FROM coefficientSet INDEXED BY coefficientSetHead ORDER BY id", transaction: transaction).AsList();

    /// <summary>Numbers and names of all sets.</summary>
    public IReadOnlyList<(long Id, string Name)> Names() => database.Read(c => c.Query<(long, string)>("SELECT id, name FROM coefficientSet INDEXED BY coefficientSetHead ORDER BY id").AsList());

    /// <summary>Number of the set with just this content (<see cref="HashOf"/>); null when there is none.</summary>
    public long? WithHash(byte[] hash) => database.Read(c => c.ExecuteScalar<long?>("SELECT id FROM coefficientSet WHERE hash = @hash", new { hash }));

    /// <summary>One evidence; null when there is none.</summary>
    public CoefficientEvidenceRow? EvidenceById(long id) => database.Read(c => c.QuerySingleOrDefault<CoefficientEvidenceRow>("SELECT * FROM coefficientEvidence WHERE id = @id", new { id }));

    /// <summary>All sets with their numbers, in the order in which they were proposed: megabytes each; lists take <see cref="Heads"/>.</summary>
    public IReadOnlyList<CoefficientSetRow> All() => database.Read(c => c.Query<CoefficientSetRow>(Select + " ORDER BY s.id").AsList());

    /// <summary>Decisions in order; of one set, or all.</summary>
    public IReadOnlyList<CoefficientDecisionRow> Decisions(long? setId = null) => database.Read(c => Decisions(c, null, setId));

    /// <summary>All decisions in order, within a transaction.</summary>
    public static IReadOnlyList<CoefficientDecisionRow> Decisions(IDbTransaction transaction) => Decisions(transaction.Connection!, transaction, null);

    /// <summary>The newest evidence of a set; null when there is none.</summary>
    public CoefficientEvidenceRow? NewestEvidence(long setId) => database.Read(c => NewestEvidence(c, null, setId));

    /// <summary>The newest evidence of a set, within a transaction; null when there is none.</summary>
    public static CoefficientEvidenceRow? NewestEvidence(IDbTransaction transaction, long setId) => NewestEvidence(transaction.Connection!, transaction, setId);

    /// <summary>SHA-256 of a set's JSON.</summary>
    public static byte[] HashOf(string json) => SHA256.HashData(Encoding.UTF8.GetBytes(json));

    private static CoefficientSetRow? Get(IDbConnection connection, IDbTransaction? transaction, long id) =>
        connection.QuerySingleOrDefault<CoefficientSetRow>(Select + " WHERE s.id = @id", new { id }, transaction);

    private static List<CoefficientDecisionRow> Decisions(IDbConnection connection, IDbTransaction? transaction, long? setId) => connection.Query<CoefficientDecisionRow>(
        "SELECT * FROM coefficientDecision WHERE @setId IS NULL OR setId = @setId ORDER BY id", new { setId }, transaction).AsList();

    private static CoefficientEvidenceRow? NewestEvidence(IDbConnection connection, IDbTransaction? transaction, long setId) => connection.QuerySingleOrDefault<CoefficientEvidenceRow>(
        "SELECT * FROM coefficientEvidence WHERE setId = @setId ORDER BY id DESC LIMIT 1", new { setId }, transaction);

}
