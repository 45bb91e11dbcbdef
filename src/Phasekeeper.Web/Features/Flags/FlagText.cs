using Phasekeeper.Core.Trackers;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Parts of a flag in words.</summary>
public static class FlagText
{
    /// <summary>123 or 123–125; a dash without orbits.</summary>
    public static string Orbits(FlagRow flag) => flag.FirstOrbit is not { } first || flag.LastOrbit is not { } last ? "–"
        : first == last ? $"{first}" : $"{first}–{last}";

    /// <summary>Subject with view and line; a tracker by its title.</summary>
    public static string Subject(FlagRow flag)
    {
        var parts = flag.Subject.Split(':', 2);
        var subject = TrackerCatalog.Find(parts[0]) is { } tracker ? tracker.Info.Title + (parts.Length > 1 ? ", " + parts[1] : "") : flag.Subject;
        return string.Join(", ", new[] { subject, flag.View is null ? null : "view " + flag.View, flag.Line }.Where(part => part is not null));
    }
}
