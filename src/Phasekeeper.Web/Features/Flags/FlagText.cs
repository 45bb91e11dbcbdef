using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Parts of a flag in words.</summary>
public static class FlagText
{
    /// <summary>123 or 123–125; a dash without orbits.</summary>
    public static string Orbits(FlagRow flag) => flag.FirstOrbit is not { } first || flag.LastOrbit is not { } last ? "–"
        : first == last ? $"{first}" : $"{first}–{last}";

    /// <summary>Subject with view and line.</summary>
    public static string Subject(FlagRow flag) =>
        string.Join(", ", new[] { flag.Subject, flag.View is null ? null : "view " + flag.View, flag.Line }.Where(part => part is not null));
}
