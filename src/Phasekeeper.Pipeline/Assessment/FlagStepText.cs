using Phasekeeper.Core.Flags;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Assessment;

/// <summary>Steps of flags in words: for pages, events and refusals.</summary>
public static class FlagStepText
{
    /// <summary>"took it", "handed it over to kim", "the rules withdrew it" without who did it.</summary>
    public static string Did(FlagStepRow step)
    {
        ArgumentNullException.ThrowIfNull(step);
        return step.Step switch
        {
            FlagStepWords.Take => "took it",
            FlagStepWords.HandOver => $"handed it over to {step.Other}",
            FlagStepWords.Release => "released it",
            FlagStepWords.Explain => $"explained it{Cause(step)}",
            FlagStepWords.Settle => $"settled it{Cause(step)}",
            FlagStepWords.Reopen => "reopened it",
            FlagStepWords.Inherit => "carried its life over from another flag",
            FlagStepWords.Raise => "raised it",
            FlagStepWords.Reraise => "raised it again",
            FlagStepWords.Trim => "shortened it",
            FlagStepWords.Worsen => "made it more severe",
            FlagStepWords.Ease => "made it less severe",
            FlagStepWords.Withdraw => "withdrew it",
            FlagStepWords.Merge => "joined it into another flag",
            FlagStepWords.Comment => "commented",
            FlagStepWords.Link => "linked it",
            FlagStepWords.Unlink => "took a link away",
            FlagStepWords.Attach => "attached a plot",
            _ => step.Step,
        };
    }

    /// <summary>Who, as a sentence begins with it.</summary>
    public static string Who(FlagStepRow step)
    {
        ArgumentNullException.ThrowIfNull(step);
        return step.Actor == FlagWriter.Rules ? "The rules" : step.Actor;
    }

    /// <summary>What a person is told whose step came second.</summary>
    /// <param name="since">Steps behind the revision that they saw.</param>
    /// <param name="saw">That revision.</param>
    /// <param name="now">Revision now.</param>
    public static string Conflict(IReadOnlyList<FlagStepRow> since, long saw, long now)
    {
        ArgumentNullException.ThrowIfNull(since);
        var did = since.Count == 0 ? "It was changed." : string.Join(" ", since.TakeLast(4).Select(s => $"{Who(s)} {Did(s)} at {FlagText.Moment(s.Time)}{(s.Note.Length == 0 ? "." : $": {Short(s.Note)}")}"));
        return $"The flag has moved on since you looked (revision {saw} then, {now} now). {did} Your step was not taken. Look at it again; if it still holds, send it again.";
    }

    private static string Cause(FlagStepRow step) => step.Cause is { } cause ? $" ({cause})" : "";

    private static string Short(string note)
    {
        var text = note.Length > 200 ? note[..200] + " …" : note;
        return text[^1] is '.' or '!' or '?' or '…' ? text : text + ".";
    }
}
