using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>A flag in a group, with the reason.</summary>
public sealed record FlagLineView(FlagRow Flag, string Reason);

/// <summary>A group as pages show it.</summary>
/// <param name="Activity">Planned activity that is the likely first cause; null = a flag is.</param>
/// <param name="First">Likely first cause, where it is not among the lines (the list is narrowed); else null.</param>
/// <param name="Lines">Its flags, the likely first cause first. Never empty.</param>
public sealed record FlagGroupView(string? Activity, FlagRow? First, IReadOnlyList<FlagLineView> Lines);

/// <summary>The list page.</summary>
/// <param name="Groups">Groups, the newest start first; each with its flags that match.</param>
/// <param name="Count">Number of flags shown.</param>
/// <param name="Older">Where older ones go on; null at the end.</param>
/// <param name="Rules">Rules that a list can be narrowed to.</param>
/// <param name="Mentions">Comments that mention the person; empty unless they are asked for.</param>
public sealed record FlagListView(IReadOnlyList<FlagGroupView> Groups, int Count, string? Older, IReadOnlyList<string> Rules, IReadOnlyList<FlagMentionRow> Mentions);

/// <summary>One flag with its life and what its rule is.</summary>
/// <param name="Flag">The flag.</param>
/// <param name="Life">What people did with it.</param>
/// <param name="Steps">Its steps, oldest first.</param>
/// <param name="Evidence">What to plot.</param>
/// <param name="Kind">Kind of its rule; null when this version knows no such kind.</param>
/// <param name="Group">Its group; null for a withdrawn flag.</param>
/// <param name="Linked">Flags that it is linked with.</param>
/// <param name="Plots">Plots as seen.</param>
public sealed record FlagDetailView(FlagRow Flag, FlagLife Life, IReadOnlyList<FlagStepRow> Steps, FlagEvidence Evidence, RuleKind? Kind, FlagGroupView? Group, IReadOnlyList<FlagRow> Linked, IReadOnlyList<FlagPlotRow> Plots)
{
    /// <summary>Planned activities around it.</summary>
    public IReadOnlyList<FlagActivityMark> Activities { get; init; } = [];
}

/// <summary>Reads flags for pages.</summary>
public sealed class FlagQueries(Stores stores)
{
    /// <summary>Flags on a page of the list (chosen: what can be looked through; older ones are a link away).</summary>
    public const int PageSize = 200;

    // Chosen: as many as a person reads back.
    private const int MostMentions = 100;

    private readonly FlagGroups groups = new(stores);

    /// <summary>The list.</summary>
    /// <param name="mission">The mission.</param>
    /// <param name="query">What it is narrowed to.</param>
    /// <param name="older">Where it goes on; null = the newest.</param>
    /// <param name="mentioned">Whose mentions are asked for; null = none.</param>
    /// <exception cref="ContinuationException">The place was never given.</exception>
    public FlagListView List(MissionState mission, FlagQuery query, string? older, string? mentioned)
    {
        var mentions = mentioned is null ? [] : stores.FlagTalk.Mentions(mentioned, MostMentions);
        var page = mentioned is null ? stores.Flags.Newest(query, PageSize, older)
            : new Page<FlagRow>([.. stores.Flags.Of([.. mentions.Select(m => m.Flag).Distinct()]).Reverse()], null);
        return new(Grouped(mission, page.Items), page.Items.Count, page.Next, [.. mission.Rules.Rules.Select(rule => rule.Id)], mentions);
    }

    /// <summary>Flags in their groups, the groups in the order in which the flags first name them.</summary>
    public IReadOnlyList<FlagGroupView> Grouped(MissionState mission, IReadOnlyList<FlagRow> flags)
    {
        var byId = flags.ToDictionary(f => f.Id, StringComparer.Ordinal);
        var found = groups.Around(mission, flags);
        var place = flags.Select((f, i) => (f.Id, i)).ToDictionary(p => p.Id, p => p.i, StringComparer.Ordinal);
        var firsts = stores.Flags.Of([.. found.Where(g => g.Activity is null && !byId.ContainsKey(g.Key)).Select(g => g.Key)]).ToDictionary(f => f.Id, StringComparer.Ordinal);
        return [.. found.Select(g => View(g, byId, firsts)).OrderBy(g => g.Lines.Min(l => place[l.Flag.Id]))];
    }

    /// <summary>One flag; null when there is none of that id.</summary>
    public FlagDetailView? Detail(MissionState mission, string id)
    {
        if (stores.Flags.Get(id) is not { } flag) return null;
        var known = FlagJson.Read(flag);
        return new(flag, stores.FlagLives.Get(id), stores.FlagLives.Steps(id), known.Evidence, RuleCatalog.Find(known.RuleKind), known.Stands ? GroupOf(mission, flag) : null,
            stores.FlagTalk.Linked(id), stores.FlagTalk.Plots(id))
        { Activities = FlagActivityMark.Of(known) };
    }

    private FlagGroupView? GroupOf(MissionState mission, FlagRow flag)
    {
        if (groups.Around(mission, [flag]).FirstOrDefault(g => g.Members.Any(m => m.Id == flag.Id)) is not { } group) return null;
        var members = stores.Flags.Of([.. group.Members.Select(m => m.Id)]).ToDictionary(f => f.Id, StringComparer.Ordinal);
        return View(group, members, []);
    }

    private static FlagGroupView View(FlagGroup group, Dictionary<string, FlagRow> known, Dictionary<string, FlagRow> firsts) =>
        new(group.Activity, firsts.GetValueOrDefault(group.Key), [.. group.Members.Where(m => known.ContainsKey(m.Id)).Select(m => new FlagLineView(known[m.Id], m.Reason))]);
}
