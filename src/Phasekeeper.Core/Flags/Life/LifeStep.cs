namespace Phasekeeper.Core.Flags.Life;

/// <summary>A step that a person can take with a flag.</summary>
public enum LifeStepKind
{
    /// <summary>It is mine now.</summary>
    Take,
    /// <summary>It is another person's now.</summary>
    HandOver,
    /// <summary>It is nobody's again.</summary>
    Release,
    /// <summary>Its cause is this.</summary>
    Explain,
    /// <summary>Nothing is left to do.</summary>
    Settle,
    /// <summary>It needs a look again.</summary>
    Reopen,
}

/// <summary>A step as it is asked for.</summary>
/// <param name="Kind">Which.</param>
/// <param name="Note">In the person's words; null or blank = none.</param>
/// <param name="Cause">Cause, of the mission's list; null = as it is.</param>
/// <param name="To">Who is to have it, for <see cref="LifeStepKind.HandOver"/>: the name as people are listed.</param>
public sealed record LifeStep(LifeStepKind Kind, string? Note = null, string? Cause = null, string? To = null)
{
    /// <summary>Longest note, characters (chosen: a page of text).</summary>
    public const int LongestNote = 4000;

    /// <summary>Words by which the API and the history call the steps.</summary>
    public static IReadOnlyList<string> Words { get; } = [.. Enum.GetValues<LifeStepKind>().Select(WordOf)];

    /// <summary>"take", "hand-over" …</summary>
    public static string WordOf(LifeStepKind kind) => kind == LifeStepKind.HandOver ? "hand-over" : kind.ToString().ToLowerInvariant();

    /// <summary>The step of a word; null when there is none.</summary>
    public static LifeStepKind? KindOf(string word)
    {
        foreach (var kind in Enum.GetValues<LifeStepKind>())
            if (WordOf(kind) == word) return kind;
        return null;
    }
}
