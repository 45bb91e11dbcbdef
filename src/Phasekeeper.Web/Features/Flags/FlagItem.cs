using Phasekeeper.Core.Time;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>A flag in the list (contract.md section 4). It advises; it never replaces the mission's flight rules.</summary>
/// <param name="Id">Id.</param>
/// <param name="Rule">Rule that raised it.</param>
/// <param name="Subject">What it is about: a channel, a tracker, a stream.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Severity">notice | warning | critical.</param>
/// <param name="State">raised | taken | explained | settled | reopened | withdrawn.</param>
/// <param name="From">Start of the stretch.</param>
/// <param name="To">Its end so far.</param>
/// <param name="FirstOrbit">First orbit that it touches.</param>
/// <param name="LastOrbit">Last orbit that it touches.</param>
/// <param name="Value">The value that went furthest.</param>
/// <param name="Limit">The limit that it left.</param>
/// <param name="Unit">Unit of both.</param>
/// <param name="Message">One sentence.</param>
/// <param name="Holder">Who has it; null = nobody.</param>
/// <param name="Cause">Its cause as people stated it; null = not stated.</param>
/// <param name="Revision">Revision of its life: a step names the one that it saw.</param>
public sealed record FlagItem(
    string Id, string Rule, string Subject, string? View, string? Line, string Severity, string State, Instant From, Instant To, int? FirstOrbit, int? LastOrbit,
    double? Value, double? Limit, string Unit, string Message, string? Holder, string? Cause, long Revision)
{
    /// <summary>The item of a stored flag.</summary>
    public static FlagItem Of(FlagRow row) => new(
        row.Id, row.Rule, row.Subject, row.View, row.Line, row.Severity, row.State, row.From, row.To, row.FirstOrbit, row.LastOrbit, row.Value, row.Limit, row.Unit, row.Message,
        row.Holder, row.Cause, row.Revision);
}
