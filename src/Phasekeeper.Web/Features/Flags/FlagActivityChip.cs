using Phasekeeper.Core.Flags.Rules;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>A mark beside a flag in a list: what planned activities have to do with it.</summary>
/// <param name="State">Word of the state whose symbol and colour it has.</param>
/// <param name="Text">Text.</param>
/// <param name="Title">Tool tip, with the activities' titles.</param>
public sealed record FlagActivityChip(string State, string Text, string Title)
{
    /// <summary>Marks of a flag: at most one of each kind. Flags about an activity (overruns) say so in their sentence.</summary>
    public static IReadOnlyList<FlagActivityChip> Of(FlagRow row)
    {
        var flag = FlagJson.Read(row);
        string[] whole = [.. flag.ExplainedBy.Where(e => e.Whole).Select(e => e.Summary)], part = [.. flag.ExplainedBy.Where(e => !e.Whole).Select(e => e.Summary)];
        string[] during = flag.RuleKind == ActivityOverrunKind.KindId ? [] : [.. flag.During.Select(e => e.Summary)];
        var chips = new List<FlagActivityChip>();
        if (whole.Length > 0) chips.Add(new("explained", "planned activity", $"Explained by the planned activity {Titles(whole)}."));
        else if (part.Length > 0) chips.Add(new("remarks", "planned activity in part", $"Expected of the planned activity {Titles(part)}, but it outlasts its settling time."));
        // An activity that explains it says more than another that runs meanwhile.
        else if (during.Length > 0) chips.Add(new("remarks", "not expected", $"Begins during the planned activity {Titles(during)}, which is not expected to cause it."));
        return chips;
    }

    private static string Titles(string[] titles) => string.Join("; ", titles);
}
