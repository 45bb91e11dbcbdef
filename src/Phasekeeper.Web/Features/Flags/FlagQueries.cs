using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>What the list of flags is narrowed to; null = all.</summary>
/// <param name="From">Flags that touch this moment or later.</param>
/// <param name="To">Flags that begin before this.</param>
/// <param name="State">One state; null: all but withdrawn; <see cref="EveryState"/>: all.</param>
/// <param name="Severity">One severity.</param>
/// <param name="Rule">One rule.</param>
/// <param name="Orbit">Flags that touch this orbit.</param>
public sealed record FlagFilter(Instant? From, Instant? To, string? State, string? Severity, string? Rule, int? Orbit)
{
    /// <summary>The state filter that takes every flag.</summary>
    public const string EveryState = "all";

    /// <summary>Whether a flag in a state is asked for.</summary>
    public bool Takes(string state) => State switch
    {
        null => state != FlagWords.Withdrawn,
        EveryState => true,
        _ => state == State,
    };
}

/// <summary>The list page: flags newest first, and how many there are in all.</summary>
/// <param name="Flags">At most <see cref="FlagQueries.LargestList"/>, newest first.</param>
/// <param name="Total">Number that match.</param>
/// <param name="Rules">Rules that a list can be narrowed to.</param>
public sealed record FlagListView(IReadOnlyList<FlagRow> Flags, int Total, IReadOnlyList<string> Rules);

/// <summary>One flag with its life and what its rule is.</summary>
/// <param name="Flag">The flag.</param>
/// <param name="Steps">Its life, oldest first.</param>
/// <param name="Evidence">What to plot.</param>
/// <param name="Kind">Kind of its rule; null when this version knows no such kind.</param>
/// <param name="Declaration">The rule as declared now; null when it is no longer declared.</param>
public sealed record FlagDetailView(FlagRow Flag, IReadOnlyList<FlagStepRow> Steps, FlagEvidence Evidence, RuleKind? Kind, RuleDeclaration? Declaration);

/// <summary>Reads flags for pages.</summary>
public sealed class FlagQueries(Stores stores)
{
    /// <summary>Most rows that the page shows.</summary>
    public const int LargestList = 300;

    // Flags are few: this many are years of them.
    private const int LargestRead = 20_000;

    /// <summary>The list.</summary>
    public FlagListView List(MissionState mission, FlagFilter filter)
    {
        var from = filter.From ?? Instant.MinValue;
        var to = filter.To ?? Instant.MaxValue;
        var read = filter.Orbit is { } orbit
            ? stores.Flags.OfOrbits(orbit, orbit).Where(flag => (filter.Severity is null || flag.Severity == filter.Severity) && (filter.Rule is null || flag.Rule == filter.Rule))
            : stores.Flags.List(from, to, LargestRead, null, null, filter.Severity, filter.Rule).Items;
        var all = read.Where(flag => filter.Takes(flag.State)).ToList();
        var shown = all.OrderByDescending(flag => flag.From).ThenBy(flag => flag.Id, StringComparer.Ordinal).Take(LargestList).ToList();
        return new FlagListView(shown, all.Count, [.. mission.Rules.Rules.Select(rule => rule.Id)]);
    }

    /// <summary>One flag; null when there is none of that id.</summary>
    public FlagDetailView? Detail(MissionState mission, string id)
    {
        if (stores.Flags.Get(id) is not { } flag) return null;
        var declaration = mission.Rules.Find(flag.Rule);
        var known = FlagJson.Read(flag);
        return new FlagDetailView(flag, stores.Flags.Steps(id), known.Evidence, RuleCatalog.Find(known.RuleKind), declaration);
    }
}
