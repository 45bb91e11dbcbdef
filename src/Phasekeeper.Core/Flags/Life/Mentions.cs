namespace Phasekeeper.Core.Flags.Life;

/// <summary>Finds the people that a comment names with "@".</summary>
public static class Mentions
{
    /// <summary>
    /// The people named, each once, in the order of the text, and the words behind an "@" that name nobody. "@" counts at the start of a word alone, so an address such as a@b does not; of
    /// names that begin alike the longest is meant; case does not matter; names may hold blanks.
    /// </summary>
    /// <param name="text">The comment.</param>
    /// <param name="people">Names of the mission's people.</param>
    public static (IReadOnlyList<string> People, IReadOnlyList<string> Unknown) In(string text, IReadOnlyCollection<string> people)
    {
        ArgumentNullException.ThrowIfNull(text);
        var byLength = people.OrderByDescending(p => p.Length).ThenBy(p => p, StringComparer.Ordinal).ToArray();
        var found = new List<string>();
        var unknown = new List<string>();
        for (var at = text.IndexOf('@', StringComparison.Ordinal); at >= 0; at = text.IndexOf('@', at + 1))
        {
            if (at > 0 && (char.IsLetterOrDigit(text[at - 1]) || text[at - 1] is '.' or '_' or '-')) continue;
            var rest = text[(at + 1)..];
            var person = byLength.FirstOrDefault(p => rest.StartsWith(p, StringComparison.OrdinalIgnoreCase) && (rest.Length == p.Length || !IsOfName(rest, p.Length)));
            if (person is not null)
            {
                if (!found.Contains(person, StringComparer.Ordinal)) found.Add(person);
                continue;
            }
            var word = new string([.. rest.TakeWhile(c => !char.IsWhiteSpace(c))]).TrimEnd('.', ',', ';', ':', '!', '?', ')');
            if (word.Length > 0 && !unknown.Contains(word, StringComparer.Ordinal)) unknown.Add(word);
        }
        return (found, unknown);
    }

    // A full stop or hyphen behind a name ends a sentence or begins an aside, unless a letter follows: then it belongs to another, longer name.
    private static bool IsOfName(string text, int at) => char.IsLetterOrDigit(text[at]) || (text[at] is '.' or '-' or '_' && at + 1 < text.Length && char.IsLetterOrDigit(text[at + 1]));
}
