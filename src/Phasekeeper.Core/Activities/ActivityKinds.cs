namespace Phasekeeper.Core.Activities;

/// <summary>Tells the kind of an activity from the words that people write.</summary>
public static class ActivityKinds
{
    // More telling words first: "yaw turn before the manoeuvre" is a yaw turn by its title's first match in this order.
    private static readonly (string Words, ActivityKind Kind)[] Known =
    [
        ("lamp", ActivityKind.LampTest),
        ("yaw", ActivityKind.YawTurn),
        ("bake", ActivityKind.BakeOut),
        ("decontamination", ActivityKind.BakeOut),
        ("anneal", ActivityKind.BakeOut),
        ("manoeuvre", ActivityKind.Manoeuvre),
        ("maneuver", ActivityKind.Manoeuvre),
        ("orbit raise", ActivityKind.Manoeuvre),
        ("orbit control", ActivityKind.Manoeuvre),
        ("thruster", ActivityKind.Manoeuvre),
    ];

    /// <summary>The first category that is known decides, then the title; else Other. Case and hyphens do not matter.</summary>
    public static ActivityKind Of(IEnumerable<string> categories, string? summary)
    {
        foreach (var category in categories)
            if (Find(category) is { } kind) return kind;
        return Find(summary) ?? ActivityKind.Other;
    }

    private static ActivityKind? Find(string? text)
    {
        if (text is null) return null;
        var plain = text.Replace('-', ' ').Replace('_', ' ').ToLowerInvariant();
        foreach (var (words, kind) in Known)
            if (plain.Contains(words, StringComparison.Ordinal)) return kind;
        return null;
    }
}
