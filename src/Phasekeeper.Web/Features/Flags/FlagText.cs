using Phasekeeper.Core.Flags;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Flags;

/// <summary>Parts of a flag in words.</summary>
public static class FlagText
{
    /// <summary>123 or 123–125; a dash without orbits.</summary>
    public static string Orbits(FlagRow flag) => flag.FirstOrbit is not { } first || flag.LastOrbit is not { } last ? "–"
        : first == last ? $"{first}" : $"{first}–{last}";

    /// <summary>What it is about, as its message says it.</summary>
    public static string Subject(FlagRow flag) => new FlagThing(flag.Rule, flag.Subject, flag.View, flag.Line).Words();
}
