namespace Phasekeeper.Core.Notices;

/// <summary>What a notice tells of. Values are bits, since a subscription names several.</summary>
[Flags]
public enum NoticeKinds
{
    /// <summary>Nothing.</summary>
    None = 0,
    /// <summary>A flag was raised, or raised again.</summary>
    Raised = 1,
    /// <summary>A flag's severity rose.</summary>
    Worsened = 2,
    /// <summary>A flag was reopened.</summary>
    Reopened = 4,
    /// <summary>A comment mentions the person, or a flag was handed over to them; whatever the severity.</summary>
    Mention = 8,
    /// <summary>Nobody took a critical flag in time, and the person stands on the escalation list; whatever the least severity.</summary>
    Escalation = 16,
    /// <summary>What people did with a flag, and what the rules withdrew.</summary>
    Progress = 32,
    /// <summary>A trial message that the person asked for.</summary>
    Trial = 64,
}

/// <summary>Words for <see cref="NoticeKinds"/>.</summary>
public static class NoticeKindWords
{
    /// <summary>The kinds that a subscription can name, in the order of pages.</summary>
    public static IReadOnlyList<NoticeKinds> Offered { get; } =
        [NoticeKinds.Raised, NoticeKinds.Worsened, NoticeKinds.Reopened, NoticeKinds.Mention, NoticeKinds.Escalation, NoticeKinds.Progress];

    /// <summary>The word of one kind, as forms and the API write it.</summary>
    public static string WordOf(NoticeKinds kind) => kind.ToString().ToLowerInvariant();

    /// <summary>The kind of a word; null when there is none.</summary>
    public static NoticeKinds? Of(string word)
    {
        foreach (var kind in Offered)
            if (WordOf(kind) == word) return kind;
        return null;
    }

    /// <summary>What a kind means, for pages.</summary>
    public static string Meaning(NoticeKinds kind) => kind switch
    {
        NoticeKinds.Raised => "a flag is raised",
        NoticeKinds.Worsened => "its severity rises",
        NoticeKinds.Reopened => "it is reopened",
        NoticeKinds.Mention => "you are mentioned or given a flag (whatever the severity)",
        NoticeKinds.Escalation => "nobody takes a critical flag, and you are on the escalation list",
        NoticeKinds.Progress => "people move it on, or it is withdrawn",
        NoticeKinds.Trial => "a trial message",
        _ => kind.ToString(),
    };
}
