namespace Phasekeeper.Storage;

/// <summary>A failure of the store: what was found, where, what was expected, and what to do.</summary>
public sealed class StorageException : Exception
{
    /// <summary>See <see cref="StorageErrors"/> for the texts.</summary>
    public StorageException(string message) : base(message) { }

    /// <summary>See <see cref="StorageErrors"/> for the texts.</summary>
    public StorageException(string message, Exception inner) : base(message, inner) { }

    /// <summary>See <see cref="StorageErrors"/> for the texts.</summary>
    public StorageException() { }
}

/// <summary>All failures that the store raises, so that their texts can be read together.</summary>
internal static class StorageErrors
{
    public static StorageException NewerSchema(string file, long found, long known) => new(
        $"{file} has schema version {found}; this program knows versions up to {known}. Start the newer program that wrote it, or use another data folder.");

    public static StorageException MigrationFailed(string file, string script, Exception inner) => new(
        $"{file}: the schema script {script} failed ({inner.Message}). The database is as it was before it; report the message.", inner);

    public static StorageException SegmentMissing(string path) => new(
        $"The archive file {path} is in the index but not on disk. Restore the archive folder from the same backup as the database.");

    public static StorageException SegmentDamaged(string path, string what) => new(
        $"The archive file {path} is damaged: {what}. Restore it from a backup.");

    public static StorageException BlobDamaged(string what, string found) => new(
        $"A stored {what} cannot be read: {found}. Restore the database from a backup, or delete the products so that they are computed again.");

    public static ContinuationException BadContinuation(string found) => new(found,
        $"Found the continuation '{found}'; expected the text that an earlier answer gave as next. Start again without it.");

    public static KeyNotFoundException NotFound(string what, object id) => new($"There is no {what} with the id {id}.");

    public static InvalidOperationException WrongState(string what, long id, string found, string expected) => new(
        $"The {what} {id} is {found}; expected {expected}.");

    public static StorageException AnchorNotPrepared(string path, Exception inner) => new(
        $"{path} cannot be written ({inner.Message}). Nothing was changed: what is not on record is not done. Give the program room and the right to write there, then do it again.", inner);

    public static StorageException AnchorNotConfirmed(string path, long entry, Exception inner) => new(
        $"{path} cannot be written ({inner.Message}). What was asked for is done, and is entry {entry} of the record: do not do it again. Give the program room and the right to write there.", inner);

    public static StorageException NoDatabase(string file) => new(
        $"There is no {file}; expected the database of a data folder. Name the folder with --Phasekeeper:Data DIR.");

    public static StorageException NoRecord(string file) => new(
        $"{file} has no record: a version of the program from before there was one wrote it. Start the program once; the record begins then.");

    public static ArgumentException LengthMismatch(string what, int found, int expected) => new(
        $"{what} has {found} entries; expected {expected}.");

    /// <summary>The schema's triggers and indices begin their texts with the word of the rule (0007_coefficients.sql).</summary>
    public static DecisionRefusedException DecisionRefused(CoefficientDecisionRow decision, Exception inner)
    {
        var found = inner.Message;
        bool Says(string word) => found.Contains(word, StringComparison.Ordinal);
        if (Says("proposer:")) return new(RefusalKind.Forbidden, $"{decision.Actor} proposed coefficient set {decision.SetId} and so cannot decide about it. Ask another calibration lead.", inner);
        if (Says("withdrawn:")) return new(RefusalKind.Forbidden, $"{decision.Actor} did not propose coefficient set {decision.SetId}; only its proposer can withdraw it. A calibration lead can decline it.", inner);
        if (Says("decided:")) return new(RefusalKind.Conflict, $"Coefficient set {decision.SetId} was decided already: a proposal is decided once. An approved set can be reinstated; other numbers need a new proposal.", inner);
        if (Says("role")) return new(RefusalKind.Forbidden, $"Found the role '{decision.Role}'; coefficient sets are decided by a {Roles.CalibrationLead}.", inner);
        if (Says("system:")) return new(RefusalKind.Forbidden, "Only the first set of a mission, that of its profile, comes into force without a person's decision.", inner);
        if (Says("reinstated:")) return new(RefusalKind.Conflict, $"Coefficient set {decision.SetId} was never approved, so it cannot be reinstated. Approve its proposal instead.", inner);
        if (Says("note")) return new(RefusalKind.Invalid, "Found no reason; expected some words on why: the decision is kept with them.", inner);
        return new(RefusalKind.Invalid, $"The decision was refused by the store: {found}.", inner);
    }

    /// <summary>As <see cref="DecisionRefused"/>, for decisions about rules (0016_rules.sql).</summary>
    public static DecisionRefusedException RuleDecisionRefused(RuleDecisionRow decision, Exception inner)
    {
        var found = inner.Message;
        bool Says(string word) => found.Contains(word, StringComparison.Ordinal);
        if (Says("proposer:")) return new(RefusalKind.Forbidden, $"{decision.Actor} proposed change {decision.Proposal} of the rules and so cannot decide about it. Ask another calibration lead.", inner);
        if (Says("withdrawn:")) return new(RefusalKind.Forbidden, $"{decision.Actor} did not propose change {decision.Proposal} of the rules; only its proposer can withdraw it. A calibration lead can decline it.", inner);
        if (Says("decided:")) return new(RefusalKind.Conflict, $"Change {decision.Proposal} of the rules was decided already: a proposal is decided once. Propose it anew.", inner);
        if (Says("order:")) return new(RefusalKind.Conflict, $"Found the first orbit {decision.FromOrbit}, before that of the version in force; expected that one or a later one: what was in force then stays on record.", inner);
        if (Says("system:")) return new(RefusalKind.Forbidden, "Only the first rules of a mission, those of its profile, come into force without a person's decision.", inner);
        if (Says("role")) return new(RefusalKind.Forbidden, $"Found the role '{decision.Role}'; changes of the rules are decided by a {Roles.CalibrationLead}.", inner);
        if (Says("note")) return new(RefusalKind.Invalid, "Found no reason; expected some words on why: the decision is kept with them.", inner);
        return new(RefusalKind.Invalid, $"The decision was refused by the store: {found}.", inner);
    }
}
