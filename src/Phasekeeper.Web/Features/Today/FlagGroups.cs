using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Today;

/// <summary>Puts flags together that tell one story: the same rule over touching stretches of time, on several views, lines or channels.</summary>
public static class FlagGroups
{
    /// <summary>The groups; in each the worst flag first, then by start. A flag is in exactly one group.</summary>
    public static IReadOnlyList<IReadOnlyList<FlagRow>> Of(IEnumerable<FlagRow> flags)
    {
        var groups = new List<IReadOnlyList<FlagRow>>();
        foreach (var ofRule in flags.GroupBy(flag => flag.Rule))
        {
            var group = new List<FlagRow>();
            foreach (var flag in ofRule.OrderBy(flag => flag.From).ThenBy(flag => flag.Id, StringComparer.Ordinal))
            {
                if (group.Count > 0 && group.All(other => other.To < flag.From))
                {
                    groups.Add(WorstFirst(group));
                    group = [];
                }
                group.Add(flag);
            }
            groups.Add(WorstFirst(group));
        }
        return groups;
    }

    private static List<FlagRow> WorstFirst(List<FlagRow> group) =>
        [.. group.OrderByDescending(flag => FlagWords.Rank(flag.Severity)).ThenByDescending(Excess).ThenBy(flag => flag.From)];

    // How far beyond its limit, relative to it; flags of one rule have limits of one kind.
    private static double Excess(FlagRow flag) => flag is { Value: { } value, Limit: { } limit } && limit != 0 ? Math.Abs(value - limit) / Math.Abs(limit) : 0;
}
