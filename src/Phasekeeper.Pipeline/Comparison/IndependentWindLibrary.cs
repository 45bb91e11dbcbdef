using Phasekeeper.Core.Comparison;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Comparison;

/// <summary>Sets of independent winds that were read, kept in memory once asked for, by the hash of their content: the number of a set that was forgotten may be given to the next one.</summary>
public sealed class IndependentWindLibrary(Stores stores)
{
    // Chosen: as many as a person compares with at once; each may hold a hundred megabytes.
    private const int MostKept = 4;
    private readonly Dictionary<string, ComparisonMatcher> matchers = new(StringComparer.Ordinal);

    /// <summary>Sets that reach into [from, to), in the order of their content's hash: the order of arrival says nothing.</summary>
    public IReadOnlyList<(long File, ComparisonMatcher Matcher)> In(Instant from, Instant to)
    {
        var reach = ComparisonLimits.Widest.Minutes * 60;
        return [.. stores.Auxiliary.List(AuxiliaryKind.Winds)
            .Where(r => r is { State: "read", CoverFrom: { } start, CoverTo: { } end } && start < to.AddSeconds(reach) && end >= from.AddSeconds(-reach))
            .OrderBy(r => Convert.ToHexStringLower(r.Sha256), StringComparer.Ordinal).Select(r => (r.Id, Matcher: Matcher(r))).Where(s => s.Matcher is not null).Select(s => (s.Id, s.Matcher!))];
    }

    // Null: a person forgot the set since it was listed.
    private ComparisonMatcher? Matcher(AuxiliaryRow row)
    {
        var content = Convert.ToHexStringLower(row.Sha256);
        if (matchers.TryGetValue(content, out var known)) return known;
        if (matchers.Count >= MostKept) matchers.Clear();
        byte[] bytes;
        try
        {
            bytes = stores.Auxiliary.Content(row.Id);
        }
        catch (KeyNotFoundException)
        {
            return null;
        }
        var winds = IndependentWindFile.Read(row.Name, AuxiliaryReader.Text(bytes)).Value;
        return matchers[content] = new ComparisonMatcher(WindColumn.Of(winds.Winds));
    }
}
