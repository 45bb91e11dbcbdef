using System.Globalization;
using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Notices;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Notices;

/// <summary>Makes of the steps of flags what may be told.</summary>
internal static class NoticeEvents
{
    /// <summary>The events of a step, what concerns single people first; none where nothing is told of it.</summary>
    public static IEnumerable<NoticeEvent> Of(FlagStepRow step, Stores stores)
    {
        if (!FlagStepWords.Telling.Contains(step.Step)) yield break;
        var severity = Severity(step.Severity ?? stores.Flags.Get(step.Flag)?.Severity ?? "warning");
        NoticeEvent Event(NoticeKinds kind) => new(string.Create(CultureInfo.InvariantCulture, $"step.{step.Id}"), kind, step.Flag, severity, step.Time, step.Actor, NoteOf(step));
        if (step.Step == FlagStepWords.Comment && stores.FlagTalk.MentionedBy(step.Flag, step.Id) is { Count: > 0 } people) yield return Event(NoticeKinds.Mention) with { Concerns = people };
        if (step is { Step: FlagStepWords.HandOver, Other: { } other }) yield return Event(NoticeKinds.Mention) with { Concerns = [other] };
        yield return Event(step.Step switch
        {
            FlagStepWords.Raise or FlagStepWords.Reraise => NoticeKinds.Raised,
            FlagStepWords.Worsen => NoticeKinds.Worsened,
            FlagStepWords.Reopen => NoticeKinds.Reopened,
            _ => NoticeKinds.Progress,
        });
    }

    /// <summary>The severity of a stored word.</summary>
    public static FlagSeverity Severity(string word) => Enum.Parse<FlagSeverity>(word, ignoreCase: true);

    private static string NoteOf(FlagStepRow step)
    {
        if (step.Step is FlagStepWords.Raise or FlagStepWords.Comment) return step.Note;
        var did = FlagStepText.Who(step) + " " + FlagStepText.Did(step);
        return step.Note.Length == 0 ? did + "." : $"{did}: {step.Note}";
    }
}
