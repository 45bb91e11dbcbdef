namespace Phasekeeper.Storage;

/// <summary>Kinds of entries of the record that are about notices, as <see cref="RecordKinds"/> writes them.</summary>
public static class NoticeRecordKinds
{
    /// <summary>A person subscribed.</summary>
    public const string Subscribe = "notice.subscribe";
    /// <summary>A subscription was ended.</summary>
    public const string Unsubscribe = "notice.unsubscribe";
    /// <summary>A person asked for a trial message.</summary>
    public const string Trial = "notice.trial";
    /// <summary>The escalation list was changed.</summary>
    public const string Escalation = "notice.escalation";
    /// <summary>A message is tried again at a person's wish.</summary>
    public const string Retry = "notice.retry";
    /// <summary>A message was dropped by a person.</summary>
    public const string Drop = "notice.drop";
}
