using System.Text.Json.Nodes;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Record;

/// <summary>How pages speak of the record.</summary>
public static class RecordWords
{
    private static readonly Dictionary<string, string> Kinds = new(StringComparer.Ordinal)
    {
        [RecordKinds.FlagAcknowledge] = "flag acknowledged",
        [RecordKinds.FlagTake] = "flag taken",
        [RecordKinds.FlagHandOver] = "flag handed over",
        [RecordKinds.FlagRelease] = "flag released",
        [RecordKinds.FlagExplain] = "flag explained",
        [RecordKinds.FlagSettle] = "flag settled",
        [RecordKinds.FlagReopen] = "flag reopened",
        [RecordKinds.FlagInherit] = "flag's life carried over",
        [RecordKinds.FlagComment] = "flag commented",
        [RecordKinds.FlagLink] = "flags linked",
        [RecordKinds.FlagUnlink] = "link of flags removed",
        [RecordKinds.FlagAttach] = "plot attached to flag",
        [RecordKinds.ActivityAdd] = "activity entered",
        [RecordKinds.ActivityChange] = "activity changed",
        [RecordKinds.ActivityCancel] = "activity cancelled",
        [RecordKinds.PacketsReceive] = "packets received",
        [RecordKinds.FileReceive] = "file received",
        [RecordKinds.QuarantineRetry] = "quarantined piece tried again",
        [RecordKinds.QuarantineDiscard] = "quarantined piece discarded",
        [RecordKinds.ComparisonForget] = "independent winds forgotten",
        [RecordKinds.ProfileAdopt] = "profile taken in",
        [RecordKinds.RulesAdopt] = "rules taken in",
        [RecordKinds.RulesPropose] = "rule proposed",
        [RecordKinds.RulesRehearse] = "rule rehearsed",
        [RecordKinds.RulesApprove] = "rule approved",
        [RecordKinds.RulesDecline] = "rule declined",
        [RecordKinds.RulesWithdraw] = "rule proposal withdrawn",
        [RecordKinds.EventNote] = "known event noted",
        [RecordKinds.EventWithdraw] = "known event withdrawn",
        [RecordKinds.CoefficientsPropose] = "coefficients proposed",
        [RecordKinds.CoefficientsApprove] = "coefficients approved",
        [RecordKinds.CoefficientsDecline] = "coefficients declined",
        [RecordKinds.CoefficientsReinstate] = "coefficients reinstated",
        [RecordKinds.CoefficientsWithdraw] = "proposal withdrawn",
        [RecordKinds.ReprocessingPause] = "reprocessing held",
        [RecordKinds.ReprocessingResume] = "reprocessing resumed",
        [RecordKinds.ReprocessingRetire] = "former winds given up",
        [PeopleRecordKinds.Add] = "person added",
        [PeopleRecordKinds.Roles] = "roles changed",
        [PeopleRecordKinds.Lock] = "person locked",
        [PeopleRecordKinds.Unlock] = "person unlocked",
        [PeopleRecordKinds.Reset] = "password reset",
        [PeopleRecordKinds.Password] = "password changed",
        [PeopleRecordKinds.SignIn] = "signed in",
        [PeopleRecordKinds.SignOutEverywhere] = "signed out everywhere",
        [RecordKinds.WorkRetry] = "failed work tried again",
        [PeopleRecordKinds.Refuse] = "sign-in refused",
        [PeopleRecordKinds.Pause] = "sign-in paused",
        [PeopleRecordKinds.TokenAdd] = "token made",
        [PeopleRecordKinds.TokenRevoke] = "token revoked",
        [NoticeRecordKinds.Subscribe] = "notices subscribed",
        [NoticeRecordKinds.Unsubscribe] = "notices given up",
        [NoticeRecordKinds.Trial] = "trial notice asked for",
        [NoticeRecordKinds.Escalation] = "escalation list changed",
        [NoticeRecordKinds.Retry] = "notice tried again",
        [NoticeRecordKinds.Drop] = "notice dropped",
        [RecordKinds.CoefficientsEvidence] = "evidence asked for again",
        [RecordKinds.VersionChange] = "version changed",
        [RecordKinds.DaySignOff] = "day signed off",
        [RecordKinds.OrbitHold] = "orbit held",
        [RecordKinds.OrbitRelease] = "orbit let go",
        [RecordKinds.HandOverWrite] = "hand-over note written",
        [RecordKinds.HandOverRead] = "hand-over note read",
        [RecordKinds.AnnotationAdd] = "note pinned to a time",
        [RecordKinds.AnnotationRetire] = "note retired",
        [RecordKinds.ViewSave] = "view saved for the team",
        [RecordKinds.ViewRename] = "shared view renamed",
        [RecordKinds.ViewRetire] = "shared view retired",
        [RecordKinds.ReportMake] = "report made",
    };

    /// <summary>Words for a kind; a kind without words is shown as it is.</summary>
    public static string Kind(string what) => Kinds.GetValueOrDefault(what, what);

    /// <summary>Role and address of who did it, as far as they tell more than the name.</summary>
    public static string RoleAndAddress(RecordEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        return string.Join(", ", new[] { entry.Role == entry.Person ? null : entry.Role, entry.Address }.Where(word => word is not null));
    }

    /// <summary>Page of what an entry is about; null where there is none.</summary>
    public static string? Link(RecordEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        return entry.What switch
        {
            _ when entry.What.StartsWith("flag.", StringComparison.Ordinal) => $"/flags/{Uri.EscapeDataString(entry.Subject)}",
            _ when entry.What.StartsWith("activity.", StringComparison.Ordinal) => $"/activities?id={Uri.EscapeDataString(entry.Subject)}",
            RecordKinds.PacketsReceive => "/data",
            RecordKinds.ReportMake => "/reports",
            RecordKinds.AnnotationAdd or RecordKinds.AnnotationRetire or RecordKinds.ViewSave or RecordKinds.ViewRename or RecordKinds.ViewRetire => "/views",
            RecordKinds.FileReceive => "/data?tab=files",
            RecordKinds.QuarantineRetry or RecordKinds.QuarantineDiscard => "/data?tab=quarantine",
            RecordKinds.ComparisonForget => "/vouch",
            RecordKinds.DaySignOff => $"/day/{entry.Subject}",
            RecordKinds.OrbitHold or RecordKinds.OrbitRelease => $"/orbit/{entry.Subject}",
            RecordKinds.HandOverWrite or RecordKinds.HandOverRead => "/day#hand-over-title",
            NoticeRecordKinds.Escalation or NoticeRecordKinds.Retry or NoticeRecordKinds.Drop => "/notices",
            RecordKinds.CoefficientsPropose or RecordKinds.CoefficientsEvidence or RecordKinds.CoefficientsApprove or RecordKinds.CoefficientsDecline or RecordKinds.CoefficientsReinstate or RecordKinds.CoefficientsWithdraw => SetOf(entry) is { } set ? $"/coefficients/proposals/{set}" : "/coefficients",
            RecordKinds.ReprocessingPause or RecordKinds.ReprocessingResume or RecordKinds.ReprocessingRetire => "/coefficients#reprocessing-title",
            _ => null,
        };
    }

    // Number of the set that an entry is about, as what is after says it.
    private static string? SetOf(RecordEntry entry) => entry.After is { } text && JsonNode.Parse(text) is JsonObject after ? (after["id"] ?? after["inForce"])?.ToString() : null;
}
