using Phasekeeper.Core.Activities;
using Phasekeeper.Core.Flags.Grouping;
using Phasekeeper.Core.Input;

namespace Phasekeeper.Core.Profile;

/// <summary>
/// Reads the profile's optional key <c>activityKinds</c>: objects with <c>id</c>, <c>title</c>, <c>expects</c> (topics, see <see cref="ActivityTopics"/>), <c>settlingMinutes</c>, and optionally
/// <c>effect</c>, <c>winds</c> (never, withoutAttitudeFile, always), <c>leadMinutes</c> and <c>words</c>. One with the id of a usual kind takes that kind's place as a whole.
/// </summary>
internal static class ActivityKindsReader
{
    private const string Key = "activityKinds";
    // Chosen: a list that is read at a glance; a month is longer than any settling.
    private const int MostKinds = 40;
    private const double LongestMinutes = 30 * 24 * 60;

    /// <summary>The mission's kinds; mistakes go to the reader's list.</summary>
    public static ActivityKinds Read(JsonObjectReader root)
    {
        if (!root.Has(Key)) return ActivityKinds.Default;
        var before = root.ErrorCount;
        var objects = root.Objects(Key);
        if (objects.Count > MostKinds) root.Error(Key, $"{objects.Count} kinds", $"at most {MostKinds}");
        var kinds = new List<ActivityKind>();
        for (var i = 0; i < objects.Count; i++)
        {
            var kind = Kind(objects[i]);
            if (kinds.Exists(k => k.Id == kind.Id)) root.Error($"{Key}[{i}].id", $"\"{kind.Id}\" once more", "each id once");
            kinds.Add(kind);
        }
        return root.ErrorCount > before ? ActivityKinds.Default : new(kinds);
    }

    private static ActivityKind Kind(JsonObjectReader o)
    {
        var id = o.Text("id") ?? "";
        if (id.Length > 0 && !IsId(id)) o.Error("id", $"\"{id}\"", "up to 40 small letters, digits and hyphens, a letter first");
        var expects = new List<FlagTopic>();
        var words = o.Texts("expects");
        for (var i = 0; i < words.Count; i++)
            if (ActivityTopics.Find(words[i]) is not { } topic) o.Error($"expects[{i}]", $"\"{words[i]}\"", $"one of {ActivityTopics.Words}");
            else if (expects.Contains(topic)) o.Error($"expects[{i}]", $"\"{words[i]}\" once more", "each topic once");
            else expects.Add(topic);
        var kind = new ActivityKind
        {
            Id = id,
            Title = o.Text("title") ?? "",
            Expects = [.. expects.Order()],
            SettlingS = 60 * o.Number("settlingMinutes", 0, LongestMinutes),
            Effect = o.Text("effect", required: false) ?? "has the effects that the mission's profile states",
            Winds = o.Word("winds", "never", "never", "withoutAttitudeFile", "always") switch { "always" => WindDoubt.Always, "withoutAttitudeFile" => WindDoubt.WithoutAttitudeFile, _ => WindDoubt.Never },
            LeadS = 60 * o.Number("leadMinutes", 0, LongestMinutes, ActivityKind.DefaultLeadS / 60),
            Words = [.. o.Texts("words", required: false).Select(w => w.Trim().ToLowerInvariant())],
        };
        o.End();
        return kind;
    }

    private static bool IsId(string id) => id.Length <= 40 && char.IsAsciiLetterLower(id[0]) && id.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '-');
}
