using System.Data;
using System.Security.Cryptography;
using System.Text;
using Dapper;
using Microsoft.Data.Sqlite;

namespace Phasekeeper.Storage;

/// <summary>
/// Versions of the flag rules, proposals, rehearsals as evidence, and decisions: all appended, never changed. The schema's triggers (0016) refuse a decision by the proposer, by another role than calibration lead, a second
/// one, a version without approval or before the one in force, and any change, whatever the road by which it comes.
/// </summary>
public sealed class RuleStore(Database database)
{
    private const string ProposalSql =
        """
        SELECT p.id, p.source, p.rule, p.rules, p.against, p.proposedBy, p.proposedRole, p.proposedFrom, p.proposed, p.reason, p.softwareVersion,
            coalesce((SELECT decision FROM ruleDecision d WHERE d.proposal = p.id), 'proposed') AS state, (SELECT max(e.id) FROM ruleEvidence e WHERE e.proposal = p.id) AS evidence
        FROM ruleProposal p
        """;

    private const string VersionSql =
        "SELECT v.id, v.decision, v.rules, v.fromOrbit, d.actor, d.time, d.note, d.proposal FROM ruleVersion v JOIN ruleDecision d ON d.id = v.decision";

    /// <summary>Adds a proposal; gives its id.</summary>
    public static long Propose(IDbTransaction transaction, RuleProposalRow proposal)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(proposal);
        return transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO ruleProposal (source, rule, rules, hash, against, proposedBy, proposedRole, proposedFrom, proposed, reason, softwareVersion)
            VALUES (@Source, @Rule, @Rules, @hash, @Against, @ProposedBy, @ProposedRole, @ProposedFrom, @Proposed, @Reason, @SoftwareVersion) RETURNING id
            """,
            new { proposal.Source, proposal.Rule, proposal.Rules, hash = HashOf(proposal.Rules), proposal.Against, proposal.ProposedBy, proposal.ProposedRole, proposal.ProposedFrom, proposal.Proposed, proposal.Reason, proposal.SoftwareVersion },
            transaction);
    }

    /// <summary>Whether just these rules were proposed before by the profile, or are a version.</summary>
    public static bool IsKnown(IDbTransaction transaction, string rules)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.ExecuteScalar<bool>(
            "SELECT EXISTS (SELECT 1 FROM ruleProposal WHERE hash = @hash AND source = 'profile') OR EXISTS (SELECT 1 FROM ruleVersion WHERE hash = @hash)", new { hash = HashOf(rules) }, transaction);
    }

    /// <summary>Keeps a rehearsal with a proposal; gives its number.</summary>
    public static long AddEvidence(IDbTransaction transaction, RuleEvidenceRow evidence)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.ExecuteScalar<long>(
            "INSERT INTO ruleEvidence (proposal, document, computed, softwareVersion) VALUES (@Proposal, @Document, @Computed, @SoftwareVersion) RETURNING id", evidence, transaction);
    }

    /// <summary>Records a decision; gives its id.</summary>
    /// <exception cref="DecisionRefusedException">The store's own rules forbid it.</exception>
    public static long Decide(IDbTransaction transaction, RuleDecisionRow decision)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(decision);
        return Guarded(decision, () => transaction.Connection!.ExecuteScalar<long>(
            """
            INSERT INTO ruleDecision (proposal, decision, fromOrbit, inPlaceOf, evidence, actor, role, address, time, note, softwareVersion)
            VALUES (@Proposal, @Decision, @FromOrbit, @InPlaceOf, @Evidence, @Actor, @Role, @Address, @Time, @Note, @SoftwareVersion) RETURNING id
            """, decision, transaction));
    }

    /// <summary>Puts rules in force by an approval; gives the number of the version.</summary>
    /// <exception cref="DecisionRefusedException">The store's own rules forbid it.</exception>
    public static long AddVersion(IDbTransaction transaction, long decision, RuleDecisionRow approval, string rules)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        ArgumentNullException.ThrowIfNull(approval);
        return Guarded(approval, () => transaction.Connection!.ExecuteScalar<long>(
            "INSERT INTO ruleVersion (decision, rules, hash, fromOrbit) VALUES (@decision, @rules, @hash, @FromOrbit) RETURNING id",
            new { decision, rules, hash = HashOf(rules), approval.FromOrbit }, transaction));
    }

    /// <summary>All versions, in the order in which they were approved.</summary>
    public IReadOnlyList<RuleVersionRow> Versions() => database.Read(c => c.Query<RuleVersionRow>(VersionSql + " ORDER BY v.id").AsList());

    /// <summary>As <see cref="Versions()"/>, within a transaction.</summary>
    public static IReadOnlyList<RuleVersionRow> Versions(IDbTransaction transaction)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.Query<RuleVersionRow>(VersionSql + " ORDER BY v.id", transaction: transaction).AsList();
    }

    /// <summary>One proposal; null when there is none.</summary>
    public RuleProposalRow? Get(long id) => database.Read(c => c.QuerySingleOrDefault<RuleProposalRow>(ProposalSql + " WHERE p.id = @id", new { id }));

    /// <summary>As <see cref="Get(long)"/>, within a transaction.</summary>
    public static RuleProposalRow? Get(IDbTransaction transaction, long id)
    {
        ArgumentNullException.ThrowIfNull(transaction);
        return transaction.Connection!.QuerySingleOrDefault<RuleProposalRow>(ProposalSql + " WHERE p.id = @id", new { id }, transaction);
    }

    /// <summary>All proposals, the first rules of the mission included, oldest first.</summary>
    public IReadOnlyList<RuleProposalRow> Proposals() => database.Read(c => c.Query<RuleProposalRow>(ProposalSql + " ORDER BY p.id").AsList());

    /// <summary>The decision about a proposal; null when there is none.</summary>
    public RuleDecisionRow? DecisionOf(long proposal) => database.Read(c => c.QuerySingleOrDefault<RuleDecisionRow>("SELECT * FROM ruleDecision WHERE proposal = @proposal", new { proposal }));

    /// <summary>A kept rehearsal; null when there is none.</summary>
    public RuleEvidenceRow? Evidence(long id) => database.Read(c => c.QuerySingleOrDefault<RuleEvidenceRow>("SELECT id, proposal, document, computed, softwareVersion FROM ruleEvidence WHERE id = @id", new { id }));

    /// <summary>SHA-256 of rules as text.</summary>
    public static byte[] HashOf(string rules) => SHA256.HashData(Encoding.UTF8.GetBytes(rules));

    private static T Guarded<T>(RuleDecisionRow decision, Func<T> step)
    {
        try
        {
            return step();
        }
        catch (SqliteException e) when (e.SqliteErrorCode == ConstraintViolated)
        {
            throw StorageErrors.RuleDecisionRefused(decision, e);
        }
    }

    // SQLITE_CONSTRAINT (sqlite3.h): unique indices, checks and RAISE(ABORT) of triggers.
    private const int ConstraintViolated = 19;
}
