using Phasekeeper.Core.Time;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>What to plot to judge a flag.</summary>
/// <param name="PlotFrom">Start of the plot window.</param>
/// <param name="PlotTo">End of the plot window.</param>
/// <param name="Series">The tracker's series; null when the ground is a channel or a matter of the data.</param>
/// <param name="Channel">The telemetry channel; null for none.</param>
public sealed record FlagEvidenceItem(Instant PlotFrom, Instant PlotTo, SeriesKey? Series, string? Channel);

/// <summary>A step in a flag's life.</summary>
/// <param name="Time">Wall clock.</param>
/// <param name="Step">Of rules: raise, trim, worsen, ease, withdraw, merge, reraise, inherit, reopen. Of people: take, hand-over, release, explain, settle, reopen, comment, link, unlink, attach.</param>
/// <param name="State">State after it.</param>
/// <param name="Actor">Who; rules for the rules.</param>
/// <param name="Note">Why, or the comment.</param>
/// <param name="Cause">Cause that was stated with it; null = none.</param>
/// <param name="Other">Person or flag that it is about too; null = none.</param>
/// <param name="Revision">Revision after it; null where it does not count.</param>
public sealed record FlagStepItem(Instant Time, string Step, string State, string Actor, string Note, string? Cause, string? Other, long? Revision);

/// <summary>A plot as it was seen.</summary>
/// <param name="Id">Id.</param>
/// <param name="Title">Title.</param>
/// <param name="Url">Address of its data then.</param>
/// <param name="Document">Address of its data as they were seen.</param>
/// <param name="Actor">Who attached it.</param>
/// <param name="Time">When, wall clock.</param>
/// <param name="Note">What they wrote.</param>
public sealed record FlagPlotItem(long Id, string Title, string Url, string Document, string Actor, Instant Time, string Note);

/// <summary>A flag with its evidence, life and history.</summary>
/// <param name="Flag">As in the list.</param>
/// <param name="RuleVersion">Version of the rule.</param>
/// <param name="Evidence">What to plot.</param>
/// <param name="CoefficientSet">Set in force at the worst point; null for none.</param>
/// <param name="ExplainedBy">Planned activities that explain it; null for none.</param>
/// <param name="WithdrawnReason">Why it was withdrawn; null while it stands.</param>
/// <param name="ContinuedBy">Flag that carries it on, when it was joined into another.</param>
/// <param name="Explanation">Its cause in a person's words; null = not stated.</param>
/// <param name="Raised">Wall clock when it was raised.</param>
/// <param name="Changed">Wall clock of the last change by rules.</param>
/// <param name="History">Its steps, oldest first.</param>
/// <param name="Linked">Ids of flags that it is linked with.</param>
/// <param name="Plots">Plots as seen.</param>
public sealed record FlagDetail(
    FlagItem Flag, string RuleVersion, FlagEvidenceItem Evidence, string? CoefficientSet, string? ExplainedBy, string? WithdrawnReason, string? ContinuedBy,
    string? Explanation, Instant Raised, Instant Changed, IReadOnlyList<FlagStepItem> History, IReadOnlyList<string> Linked, IReadOnlyList<FlagPlotItem> Plots)
{
    /// <summary>Titles of planned activities during which it begins, but which are not expected to cause it.</summary>
    public IReadOnlyList<string> During { get; init; } = [];

    /// <summary>The detail of a stored flag.</summary>
    public static FlagDetail Of(FlagRow row, Stores stores)
    {
        var flag = FlagJson.Read(row);
        return new FlagDetail(
            FlagItem.Of(row), row.RuleVersion, new(flag.Evidence.PlotFrom, flag.Evidence.PlotTo, flag.Evidence.Series, flag.Evidence.Channel), row.CoefficientSet, row.ExplainedBy,
            flag.WithdrawnReason, flag.ContinuedBy, stores.FlagLives.Get(row.Id).Explanation, row.Raised, row.Changed,
            [.. stores.FlagLives.Steps(row.Id).Select(s => new FlagStepItem(s.Time, s.Step, s.State, s.Actor, s.Note, s.Cause, s.Other, s.Revision))],
            [.. stores.FlagTalk.Linked(row.Id).Select(f => f.Id)],
            [.. stores.FlagTalk.Plots(row.Id).Select(p => new FlagPlotItem(p.Id, p.Title, p.Url, Address(p), p.Actor, p.Time, p.Note))])
        { During = [.. flag.During.Select(e => e.Summary)] };
    }

    /// <summary>Address of a plot's data as they were seen.</summary>
    public static string Address(FlagPlotRow plot)
    {
        ArgumentNullException.ThrowIfNull(plot);
        return string.Create(System.Globalization.CultureInfo.InvariantCulture, $"/api/v1/plots/flags/{Uri.EscapeDataString(plot.Flag)}/seen/{plot.Id}");
    }
}
