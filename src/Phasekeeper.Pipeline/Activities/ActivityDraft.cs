using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Profile;
using Phasekeeper.Core.Text;
using Phasekeeper.Core.Time;

namespace Phasekeeper.Pipeline.Activities;

/// <summary>What a person writes of an activity.</summary>
/// <param name="Kind">Id of its kind.</param>
/// <param name="Title">Title, one line.</param>
/// <param name="From">Start (inclusive).</param>
/// <param name="To">End (exclusive).</param>
/// <param name="Note">Further text; null or blank = none.</param>
/// <param name="Expects">Words of the topics that it is expected to cause (see <see cref="ActivityTopics"/>); null = those of the kind.</param>
/// <param name="Reason">Why it is changed; null or blank = not said.</param>
public sealed record ActivityDraft(string Kind, string Title, Instant From, Instant To, string? Note = null, IReadOnlyList<string>? Expects = null, string? Reason = null)
{
    /// <summary>Longest title, characters (chosen: a line).</summary>
    public const int LongestTitle = 200;

    /// <summary>Longest note or reason, characters (chosen: a page of text).</summary>
    public const int LongestNote = 4000;

    /// <summary>The draft as it is stored: texts trimmed, times to the second (as calendars have them), topics in order.</summary>
    /// <exception cref="ActivityRefusedException">Something in it is wrong.</exception>
    public ActivityDraft Checked(MissionProfile profile)
    {
        ArgumentNullException.ThrowIfNull(profile);
        var kinds = profile.ActivityKinds;
        if (kinds.Find(Kind ?? "") is null) throw new ActivityRefusedException($"Found the kind '{Kind}'; expected one of {string.Join(", ", kinds.All.Select(k => k.Id))}.");
        var title = (Title ?? "").Trim();
        if (title.Length is 0 or > LongestTitle || title.Any(char.IsControl)) throw new ActivityRefusedException($"Found a title of {title.Length} characters; expected 1 to {LongestTitle} in one line.");
        if (!WholeText.Is(title)) throw new ActivityRefusedException($"Found a title with {WholeText.Found}; expected {WholeText.Expected}.");
        var (from, to) = (Whole(From), Whole(To));
        if (to <= from) throw new ActivityRefusedException($"Found an end {to} that is not after the start {from}; expected a later end.");
        if (to <= profile.SpanStart || from >= profile.SpanEnd) throw new ActivityRefusedException($"Found {from} to {to}; expected a time within the mission's span, {profile.SpanStart} to {profile.SpanEnd}.");
        string[]? topics = null;
        if (Expects is not null)
        {
            foreach (var word in Expects)
                if (ActivityTopics.Find(word) is null) throw new ActivityRefusedException($"Found the expected effect '{word}'; expected some of {ActivityTopics.Words}.");
            topics = [.. Expects.Select(w => ActivityTopics.Find(w)!.Value).Distinct().Order().Select(ActivityTopics.Word)];
        }
        return this with { Title = title, From = from, To = to, Note = Text("note", Note), Expects = topics, Reason = Text("reason", Reason) };
    }

    /// <summary>A longer text as it is stored.</summary>
    internal static string Text(string what, string? text)
    {
        var plain = (text ?? "").ReplaceLineEndings("\n").Trim();
        if (!WholeText.Is(plain)) throw new ActivityRefusedException($"Found a {what} with {WholeText.Found}; expected {WholeText.Expected}.");
        if (plain.Length > LongestNote) throw new ActivityRefusedException($"Found a {what} of {plain.Length} characters; expected at most {LongestNote}.");
        if (plain.Any(c => char.IsControl(c) && c is not ('\n' or '\t'))) throw new ActivityRefusedException($"Found control characters in the {what}; expected plain text.");
        return plain;
    }

    private static Instant Whole(Instant time)
    {
        var utc = time.ToDateTimeUtc();
        return Instant.FromDateTimeUtc(utc.AddTicks(-(utc.Ticks % TimeSpan.TicksPerSecond)));
    }
}
