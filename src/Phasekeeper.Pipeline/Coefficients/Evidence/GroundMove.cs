using System.Globalization;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>What has become of the ground on which evidence, or a fit, was computed.</summary>
/// <param name="LookedAt">Orbits that were looked at.</param>
/// <param name="Changed">Those of which the archive holds something else by now, or whose limits moved.</param>
/// <param name="MoreOrbits">Orbits that would be looked at besides if it were computed now.</param>
/// <param name="OtherVersions">True: another version of the program, or of what it computes with.</param>
/// <param name="Then">Names the ground as it was.</param>
/// <param name="Now">Names the ground as it is.</param>
/// <param name="OtherRules">True: other flag rules are in force.</param>
public sealed record GroundMove(int LookedAt, IReadOnlyList<int> Changed, int MoreOrbits, bool OtherVersions, string Then, string Now, bool OtherRules = false)
{
    /// <summary>Share of orbits, to those looked at, from which on new ones are worth computing it again without being asked. Chosen: figures over orbits become tighter by a tenth.</summary>
    public const double ManyMore = 0.25;

    /// <summary>True when what was computed would come out otherwise, or may.</summary>
    public bool HasMoved => Now != Then;

    /// <summary>True when it should be computed again without being asked.</summary>
    public bool AsksForMore => HasMoved || MoreOrbits >= Math.Max(1, ManyMore * LookedAt);

    /// <summary>What has moved, half a sentence: "late data changed 3 of the 33 orbits"; empty for nothing.</summary>
    public string Words
    {
        get
        {
            var parts = new List<string>();
            if (Changed.Count > 0) parts.Add(string.Create(CultureInfo.InvariantCulture, $"late data, or another orbit, attitude or activity file, changed {Changed.Count} of the {LookedAt} orbits"));
            if (OtherVersions) parts.Add("another version of the program computes it");
            if (OtherRules) parts.Add("other flag rules are in force");
            if (MoreOrbits > 0) parts.Add(string.Create(CultureInfo.InvariantCulture, $"{MoreOrbits} {(MoreOrbits == 1 ? "orbit has" : "orbits have")} become complete that it would look at"));
            return string.Join(", and ", parts);
        }
    }
}
