namespace Phasekeeper.Core.SignOff;

/// <summary>What is said of a day's winds; ordered, so that the worse of two is the larger. Spelled in lower case (<see cref="DayVerdicts"/>).</summary>
public enum DayVerdict
{
    /// <summary>Nothing speaks against them.</summary>
    Usable = 0,
    /// <summary>Usable; read the reasons first.</summary>
    Remarks = 1,
    /// <summary>Kept back: not to be used.</summary>
    Held = 2,
}

/// <summary>Words of verdicts of days.</summary>
public static class DayVerdicts
{
    /// <summary>The words, mildest first.</summary>
    public static IReadOnlyList<string> Words { get; } = [.. Enum.GetValues<DayVerdict>().Select(Word)];

    /// <summary>usable | remarks | held.</summary>
    public static string Word(this DayVerdict verdict) => verdict.ToString().ToLowerInvariant();

    /// <summary>"usable with remarks" for sentences.</summary>
    public static string Phrase(this DayVerdict verdict) => verdict == DayVerdict.Remarks ? "usable with remarks" : verdict.Word();

    /// <summary>The verdict of a word; null when it is none.</summary>
    public static DayVerdict? Parse(string? word)
    {
        foreach (var verdict in Enum.GetValues<DayVerdict>())
            if (verdict.Word() == word) return verdict;
        return null;
    }
}
