using System.Globalization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Core.Notices;

/// <summary>A line of the escalation list.</summary>
/// <param name="AfterMinutes">Minutes for which a critical flag has waited.</param>
/// <param name="Person">Who is told then.</param>
public sealed record EscalationStep(int AfterMinutes, string Person);

/// <summary>A critical flag that nobody has.</summary>
/// <param name="Flag">Id.</param>
/// <param name="Step">Place of the step since which it waits: a flag that comes back is escalated again.</param>
/// <param name="Since">When that was, wall clock.</param>
public sealed record WaitingFlag(string Flag, long Step, Instant Since);

/// <summary>Who is told of critical flags that nobody takes. Pure.</summary>
public static class Escalation
{
    /// <summary>Longest wait of a line, minutes (chosen: a week; what waits longer is no escalation).</summary>
    public const int LongestMinutes = 7 * 1440;

    /// <summary>Most lines (chosen: a team's chain of calls).</summary>
    public const int MostSteps = 20;

    /// <summary>The events that are due by now. Each has a key of its own for good, so asking again gives what is there already.</summary>
    /// <param name="waiting">Critical flags that nobody has.</param>
    /// <param name="steps">The list.</param>
    /// <param name="listSince">Since when the list is so: no flag counts from before.</param>
    /// <param name="now">Wall clock.</param>
    public static IReadOnlyList<NoticeEvent> DueBy(IEnumerable<WaitingFlag> waiting, IReadOnlyList<EscalationStep> steps, Instant listSince, Instant now) =>
        [.. waiting.SelectMany(w => steps.Select(s => (Flag: w, Line: s, At: (w.Since > listSince ? w.Since : listSince).AddSeconds(s.AfterMinutes * 60.0))))
            .Where(e => e.At <= now)
            .Select(e => new NoticeEvent(
                string.Create(CultureInfo.InvariantCulture, $"escalation.{e.Flag.Step}.{e.Line.AfterMinutes}.{e.Line.Person}"), NoticeKinds.Escalation, e.Flag.Flag, FlagSeverity.Critical, e.At, "rules",
                $"Nobody has taken it for {FlagText.Duration(e.Line.AfterMinutes * 60.0)}.") { Concerns = [e.Line.Person] })];
}
