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
/// <param name="Step">raise, trim, withdraw, merge, reraise or acknowledge.</param>
/// <param name="State">State after it.</param>
/// <param name="Actor">Who.</param>
/// <param name="Note">Why.</param>
public sealed record FlagStepItem(Instant Time, string Step, string State, string Actor, string Note);

/// <summary>A flag with its evidence and history.</summary>
/// <param name="Flag">As in the list.</param>
/// <param name="RuleVersion">Version of the rule.</param>
/// <param name="Evidence">What to plot.</param>
/// <param name="CoefficientSet">Set in force at the worst point; null for none.</param>
/// <param name="ExplainedBy">Planned activities that explain it; null for none.</param>
/// <param name="WithdrawnReason">Why it was withdrawn; null while it stands.</param>
/// <param name="ContinuedBy">Flag that carries it on, when it was joined into another.</param>
/// <param name="AcknowledgedBy">Who took note; null while nobody has.</param>
/// <param name="AcknowledgedAt">When.</param>
/// <param name="AcknowledgedNote">What they wrote.</param>
/// <param name="Raised">Wall clock when it was raised.</param>
/// <param name="Changed">Wall clock of the last change.</param>
/// <param name="History">Its steps, oldest first.</param>
public sealed record FlagDetail(
    FlagItem Flag, string RuleVersion, FlagEvidenceItem Evidence, string? CoefficientSet, string? ExplainedBy, string? WithdrawnReason, string? ContinuedBy,
    string? AcknowledgedBy, Instant? AcknowledgedAt, string? AcknowledgedNote, Instant Raised, Instant Changed, IReadOnlyList<FlagStepItem> History)
{
    /// <summary>The detail of a stored flag.</summary>
    public static FlagDetail Of(FlagRow row, IReadOnlyList<FlagStepRow> history)
    {
        var flag = FlagJson.Read(row);
        return new FlagDetail(
            FlagItem.Of(row), row.RuleVersion, new(flag.Evidence.PlotFrom, flag.Evidence.PlotTo, flag.Evidence.Series, flag.Evidence.Channel), row.CoefficientSet, row.ExplainedBy,
            flag.WithdrawnReason, flag.ContinuedBy, flag.AcknowledgedBy, flag.AcknowledgedAt, flag.AcknowledgedNote, row.Raised, row.Changed,
            [.. history.Select(s => new FlagStepItem(s.Time, s.Step, s.State, s.Actor, s.Note))]);
    }
}
