namespace Phasekeeper.Storage;

/// <summary>The kinds of decisions and changes that stand in the record: what it is about, a point, what was done.</summary>
public static class RecordKinds
{
    /// <summary>A person took note of a flag: in entries of earlier versions, which had no other step.</summary>
    public const string FlagAcknowledge = "flag.acknowledge";
    /// <summary>A person took a flag.</summary>
    public const string FlagTake = "flag.take";
    /// <summary>A flag was handed over to another person.</summary>
    public const string FlagHandOver = "flag.hand-over";
    /// <summary>A flag is nobody's again.</summary>
    public const string FlagRelease = "flag.release";
    /// <summary>The cause of a flag was stated.</summary>
    public const string FlagExplain = "flag.explain";
    /// <summary>A flag was settled.</summary>
    public const string FlagSettle = "flag.settle";
    /// <summary>A flag was reopened, by a person or by new data.</summary>
    public const string FlagReopen = "flag.reopen";
    /// <summary>What people did with a flag goes on with the one that takes over its orbits.</summary>
    public const string FlagInherit = "flag.inherit";
    /// <summary>A comment on a flag.</summary>
    public const string FlagComment = "flag.comment";
    /// <summary>Two flags were linked.</summary>
    public const string FlagLink = "flag.link";
    /// <summary>A link between two flags was taken away.</summary>
    public const string FlagUnlink = "flag.unlink";
    /// <summary>A plot as seen was attached to a flag.</summary>
    public const string FlagAttach = "flag.attach";
    /// <summary>A planned activity was entered.</summary>
    public const string ActivityAdd = "activity.add";
    /// <summary>A planned activity was changed.</summary>
    public const string ActivityChange = "activity.change";
    /// <summary>A planned activity was cancelled.</summary>
    public const string ActivityCancel = "activity.cancel";
    /// <summary>Packets came by a person's or script's request; one entry a committed part of the request.</summary>
    public const string PacketsReceive = "packets.receive";
    /// <summary>An orbit, attitude, activity or comparison file came.</summary>
    public const string FileReceive = "file.receive";
    /// <summary>A piece in quarantine was tried again.</summary>
    public const string QuarantineRetry = "quarantine.retry";
    /// <summary>A piece in quarantine was discarded.</summary>
    public const string QuarantineDiscard = "quarantine.discard";
    /// <summary>Units of work that were set aside after a failure are tried again.</summary>
    public const string WorkRetry = "work.retry";
    /// <summary>A set of independent winds was forgotten.</summary>
    public const string ComparisonForget = "comparison.forget";
    /// <summary>The mission's profile was taken in, or differs from that of the last start.</summary>
    public const string ProfileAdopt = "profile.adopt";
    /// <summary>Rules came into force.</summary>
    public const string RulesAdopt = "rules.adopt";
    /// <summary>A change of the rules was proposed.</summary>
    public const string RulesPropose = "rules.propose";
    /// <summary>A rehearsal of a rule was started.</summary>
    public const string RulesRehearse = "rules.rehearse";
    /// <summary>A changed version of the rules came into force.</summary>
    public const string RulesApprove = "rules.approve";
    /// <summary>A proposed change of the rules is not to be used.</summary>
    public const string RulesDecline = "rules.decline";
    /// <summary>A proposed change of the rules was taken back by its proposer.</summary>
    public const string RulesWithdraw = "rules.withdraw";
    /// <summary>An event that people know of was noted.</summary>
    public const string EventNote = "event.note";
    /// <summary>A known event was withdrawn.</summary>
    public const string EventWithdraw = "event.withdraw";
    /// <summary>A coefficient set was proposed.</summary>
    public const string CoefficientsPropose = "coefficients.propose";
    /// <summary>The evidence of a proposed coefficient set is computed again.</summary>
    public const string CoefficientsEvidence = "coefficients.evidence";
    /// <summary>A coefficient set came into force.</summary>
    public const string CoefficientsApprove = "coefficients.approve";
    /// <summary>A proposed coefficient set is not to be used.</summary>
    public const string CoefficientsDecline = "coefficients.decline";
    /// <summary>A coefficient set that was approved once came into force again.</summary>
    public const string CoefficientsReinstate = "coefficients.reinstate";
    /// <summary>A coefficient set was taken back by its proposer.</summary>
    public const string CoefficientsWithdraw = "coefficients.withdraw";
    /// <summary>Reprocessing was held.</summary>
    public const string ReprocessingPause = "reprocessing.pause";
    /// <summary>Reprocessing goes on.</summary>
    public const string ReprocessingResume = "reprocessing.resume";
    /// <summary>Winds of before a decision were given up.</summary>
    public const string ReprocessingRetire = "reprocessing.retire";
    /// <summary>Another version of the program, or of the winds' algorithm, works on the data.</summary>
    public const string VersionChange = "version.change";
    /// <summary>A day's verdict was confirmed or overruled.</summary>
    public const string DaySignOff = "day.sign-off";
    /// <summary>An orbit's winds were held.</summary>
    public const string OrbitHold = "orbit.hold";
    /// <summary>A held orbit was let go.</summary>
    public const string OrbitRelease = "orbit.release";
    /// <summary>A note was left for the next shift.</summary>
    public const string HandOverWrite = "hand-over.write";
    /// <summary>A note from shift to shift was read.</summary>
    public const string HandOverRead = "hand-over.read";
    /// <summary>A note was pinned to a stretch of time.</summary>
    public const string AnnotationAdd = "annotation.add";
    /// <summary>A note was retired.</summary>
    public const string AnnotationRetire = "annotation.retire";
    /// <summary>The state of a page was saved under a name.</summary>
    public const string ViewSave = "view.save";
    /// <summary>A shared view got another name or note.</summary>
    public const string ViewRename = "view.rename";
    /// <summary>A shared view was retired.</summary>
    public const string ViewRetire = "view.retire";
    /// <summary>A report was made as PDF, or could not be.</summary>
    public const string ReportMake = "report.make";
}
