namespace Phasekeeper.Core.Flags.Life;

/// <summary>The causes that an explanation chooses from: the mission's own list (profile key <c>flagCauses</c>).</summary>
public static class FlagCauses
{
    /// <summary>The cause that says that nothing was there: a false flag.</summary>
    public const string RuleTooTight = "rule too tight";

    /// <summary>The cause that says nothing.</summary>
    public const string Unknown = "unknown";

    /// <summary>The list of a mission that names none.</summary>
    public static IReadOnlyList<string> Default { get; } = ["instrument", "environment", "planned activity", "data system", RuleTooTight, Unknown];

    /// <summary>Most causes (chosen: a list that is read at a glance).</summary>
    public const int Most = 24;

    /// <summary>Longest cause, characters (chosen: a word or a few).</summary>
    public const int Longest = 60;

    /// <summary>What is wrong with an entry; null when nothing is.</summary>
    /// <param name="list">The list as written.</param>
    /// <param name="index">Place of the entry.</param>
    public static string? Mistake(IReadOnlyList<string> list, int index)
    {
        ArgumentNullException.ThrowIfNull(list);
        var cause = list[index];
        if (cause.Length == 0 || cause != cause.Trim()) return "a word or a few, without blanks around them";
        if (cause.Length > Longest) return $"at most {Longest} characters";
        if (cause.Any(char.IsControl)) return "text in one line, without control characters";
        return list.Take(index).Contains(cause, StringComparer.OrdinalIgnoreCase) ? "each cause once" : null;
    }
}
