using Phasekeeper.Core.Flags;
using Phasekeeper.Core.Flags.Rules;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>What is said of a flag and a planned activity: words, the activity, and the rest of the sentence.</summary>
/// <param name="Words">Before the title.</param>
/// <param name="Id">Id of the activity.</param>
/// <param name="Title">Its title.</param>
/// <param name="Rest">Behind the title.</param>
public sealed record FlagActivityMark(string Words, string Id, string Title, string Rest)
{
    /// <summary>Sentences about a flag.</summary>
    public static IReadOnlyList<FlagActivityMark> Of(Flag flag)
    {
        ArgumentNullException.ThrowIfNull(flag);
        return
        [
            .. flag.ExplainedBy.Select(e => new FlagActivityMark(e.Whole ? "Explained by the planned activity" : "Begins within the planned activity", e.ActivityId, e.Summary,
                e.Whole ? ": flags of its kind are expected of it." : " and is expected of it, but outlasts its settling time: look whether it is more.")),
            .. flag.During.Select(e => flag.RuleKind == ActivityOverrunKind.KindId ? new FlagActivityMark("About the planned activity", e.ActivityId, e.Summary, ".")
                : new FlagActivityMark("During", e.ActivityId, e.Summary, ", but not expected of it: the activity does not explain it.")),
        ];
    }
}
