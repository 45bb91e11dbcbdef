using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Life;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Pipeline.Thresholds;
using Phasekeeper.Storage;
using Phasekeeper.Web.Shared.Numbers;

namespace Phasekeeper.Web.Features.Thresholds;

/// <summary>A rule in force.</summary>
/// <param name="Id">Id.</param>
/// <param name="Kind">Kind.</param>
/// <param name="Title">Title of the kind.</param>
/// <param name="Enabled">Whether it is run.</param>
/// <param name="Version">Stated version and fingerprint, as flags name it.</param>
/// <param name="SinceVersion">Version of the rules that brought it as it is.</param>
/// <param name="SinceOrbit">First orbit that it judges so; null = from the beginning.</param>
/// <param name="Watches">What it watches, in words.</param>
/// <param name="Limits">Its limits with units, in words.</param>
/// <param name="Flags">Flags that began in the last 30 days of mission time and stand.</param>
/// <param name="Settled">Of these: settled.</param>
/// <param name="TooTightPercent">Of the settled ones: share with the cause "rule too tight", %; null when none is settled.</param>
/// <param name="ExpectedFalsePerMonth">Expected false flags a month of a healthy instrument.</param>
public sealed record RuleItem(string Id, string Kind, string Title, bool Enabled, string Version, long SinceVersion, int? SinceOrbit, string Watches, string Limits, int Flags, int Settled, double? TooTightPercent, double ExpectedFalsePerMonth);

/// <summary>A version of the rules.</summary>
/// <param name="Id">Number.</param>
/// <param name="FromOrbit">First orbit that it judges; null = from the beginning.</param>
/// <param name="Proposal">The proposal that it was.</param>
/// <param name="ApprovedBy">Who approved it.</param>
/// <param name="Approved">When, wall clock.</param>
/// <param name="Reason">Why.</param>
/// <param name="Changed">Rules that it changed; empty for the first.</param>
public sealed record RuleVersionItem(long Id, int? FromOrbit, long Proposal, string ApprovedBy, Instant Approved, string Reason, string Changed);

/// <summary>A proposal to change the rules.</summary>
/// <param name="Id">Number.</param>
/// <param name="Rule">The rule; null = the whole set.</param>
/// <param name="Source">by hand or profile.</param>
/// <param name="State">proposed, approved, declined or withdrawn.</param>
/// <param name="ProposedBy">Who.</param>
/// <param name="Proposed">When, wall clock.</param>
/// <param name="Reason">Why.</param>
/// <param name="Against">Version that was in force then.</param>
/// <param name="Evidence">Number of its rehearsal; null = none.</param>
/// <param name="DecidedBy">Who decided; null = nobody yet.</param>
/// <param name="Decided">When, wall clock.</param>
/// <param name="DecisionReason">Why.</param>
/// <param name="FromOrbit">First orbit of an approval.</param>
public sealed record RuleProposalItem(long Id, string? Rule, string Source, string State, string ProposedBy, Instant Proposed, string Reason, long? Against, long? Evidence, string? DecidedBy, Instant? Decided, string? DecisionReason, int? FromOrbit);

/// <summary>A rehearsal.</summary>
/// <param name="Id">Number.</param>
/// <param name="Rule">Id of the rule.</param>
/// <param name="By">Who started it.</param>
/// <param name="State">running, done, cancelled or failed.</param>
/// <param name="Percent">How far it is, %.</param>
/// <param name="Failure">Why it failed; null when it did not.</param>
/// <param name="Report">What it showed; null until it is done.</param>
public sealed record RehearsalItem(long Id, string Rule, string By, string State, double Percent, string? Failure, RehearsalReport? Report)
{
    /// <summary>A rehearsal as it is now.</summary>
    public static RehearsalItem Of(Rehearsal run)
    {
        ArgumentNullException.ThrowIfNull(run);
        return new(run.Id, run.Rule.Id, run.By, run.State, Math.Round(100 * run.Share, 1), run.Failure, run.Report);
    }
}

/// <summary>Reads what pages and API show of the rules.</summary>
public sealed class RuleQueries(Stores stores)
{
    // Chosen: more flags in a month than anybody has; of more the newest are counted.
    private const int MostFlags = 100_000;

    /// <summary>The rules in force, in their order.</summary>
    public IReadOnlyList<RuleItem> Rules(MissionState mission)
    {
        ArgumentNullException.ThrowIfNull(mission);
        var now = stores.Archive.LastPacketTime ?? Instant.MinValue;
        var flags = now == Instant.MinValue ? null : stores.Flags.Beginning(now.AddSeconds(-30 * 86400.0), now.AddSeconds(1), MostFlags).ToLookup(f => f.Rule, StringComparer.Ordinal);
        return [.. mission.Rules.Rules.Select(rule =>
        {
            var since = mission.RuleVersions.Of(rule.Id)[^1];
            FlagRow[] own = flags is null ? [] : [.. flags[rule.Id]];
            var settled = own.Where(f => f.State == "settled").ToArray();
            return new RuleItem(rule.Id, rule.Kind, RuleCatalog.Of(rule.Kind).Title, rule.Enabled, rule.VersionText, since.Version, since.FirstOrbit == int.MinValue ? null : since.FirstOrbit, RuleText.Watches(rule), RuleText.Limits(rule),
                own.Length, settled.Length, settled.Length == 0 ? null : 100.0 * settled.Count(f => string.Equals(f.Cause, FlagCauses.RuleTooTight, StringComparison.OrdinalIgnoreCase)) / settled.Length, rule.Enabled ? Rehearser.Expected(mission, rule).PerMonth : 0);
        })];
    }

    /// <summary>All versions, oldest first.</summary>
    public IReadOnlyList<RuleVersionItem> Versions()
    {
        var rows = stores.Rules.Versions();
        var sets = rows.Select(StoredRules.Read).ToArray();
        return [.. rows.Select((v, i) => new RuleVersionItem(v.Id, v.FromOrbit, v.Proposal, v.Actor, v.Time, v.Note, i == 0 ? "" : string.Join(", ", RuleDesk.Differences(sets[i - 1], sets[i]).Select(d => d.Rule))))];
    }

    /// <summary>All proposals but the mission's first rules, oldest first.</summary>
    public IReadOnlyList<RuleProposalItem> Proposals() => [.. stores.Rules.Proposals().Where(p => p.Against is not null).Select(Item)];

    /// <summary>One proposal; null when there is none.</summary>
    public RuleProposalItem? Proposal(long id) => stores.Rules.Get(id) is { } row ? Item(row) : null;

    private RuleProposalItem Item(RuleProposalRow p)
    {
        var decision = p.State == RuleWords.Proposed ? null : stores.Rules.DecisionOf(p.Id);
        return new(p.Id, p.Rule, p.Source, p.State, p.ProposedBy, p.Proposed, p.Reason, p.Against, p.Evidence, decision?.Actor, decision?.Time, decision?.Note, decision?.FromOrbit);
    }
}

/// <summary>How pages speak of rules.</summary>
public static class RuleText
{
    /// <summary>What a rule watches.</summary>
    public static string Watches(RuleDeclaration rule)
    {
        ArgumentNullException.ThrowIfNull(rule);
        var what = RuleCatalog.Of(rule.Kind).Selector switch
        {
            RuleSelector.Trackers => string.Join(", ", rule.Trackers),
            RuleSelector.Channels => rule.Channels.Count == 0 ? "all channels" : string.Join(", ", rule.Channels),
            RuleSelector.Views => "all views and lines",
            _ => "the data",
        };
        if (rule.View is not null || rule.Line is not null) what += $" ({string.Join(", ", new[] { rule.View is { } v ? $"view {v}" : null, rule.Line }.OfType<string>())})";
        return what;
    }

    /// <summary>The limits of a rule with units; other parameters are on its own page.</summary>
    public static string Limits(RuleDeclaration rule)
    {
        ArgumentNullException.ThrowIfNull(rule);
        var limits = RuleCatalog.Of(rule.Kind).Parameters.Where(p => p.Name.EndsWith("Limit", StringComparison.Ordinal) && double.IsFinite(rule[p.Name])).Select(p => $"{Name(p.Name)} {NumberText.WithUnit(rule[p.Name], Unit(rule, p))}");
        return string.Join("; ", limits) is { Length: > 0 } text ? text : "–";
    }

    /// <summary>Unit of a parameter; null where there is none, or where it is that of each thing watched.</summary>
    public static string? Unit(RuleDeclaration rule, RuleParameter parameter)
    {
        ArgumentNullException.ThrowIfNull(rule);
        ArgumentNullException.ThrowIfNull(parameter);
        if (parameter.Unit is not ("tracker" or "channel")) return parameter.Unit == "1" ? null : parameter.Unit;
        var units = rule.Trackers.Select(t => Core.Trackers.TrackerCatalog.Find(t)?.Info.Unit).Distinct().ToArray();
        return units is [{ } one] && one != "1" ? one : null;
    }

    /// <summary>The values that a parameter may have, in words.</summary>
    public static string Range(RuleParameter parameter)
    {
        ArgumentNullException.ThrowIfNull(parameter);
        // A bound of a hundred million and more only keeps slips of the keyboard out.
        return parameter.Type == RuleParameterType.Switch ? "on or off" : parameter.Max >= 1e8 ? $"{NumberText.Significant(parameter.Min)} or more" : $"{NumberText.Significant(parameter.Min)} to {NumberText.Significant(parameter.Max)}";
    }

    /// <summary>A number of flags expected a month; what is less than one in eighty years is said to be so, since its exact size tells nobody anything.</summary>
    public static string PerMonth(double? flags) => flags is > 0 and < 0.001 ? "below 0.001" : NumberText.Significant(flags, 2);

    /// <summary>"notice limit" of "noticeLimit".</summary>
    public static string Name(string parameter)
    {
        ArgumentNullException.ThrowIfNull(parameter);
        return string.Concat(parameter.Select(c => char.IsUpper(c) ? " " + char.ToLowerInvariant(c) : c.ToString()));
    }
}
