using System.Globalization;

namespace Phasekeeper.Web.Features.Coefficients.Proposals;

/// <summary>Numbers of orbits as people read them.</summary>
public static class OrbitText
{
    /// <summary>Stretches of orbits: "812–815, 817 (5 orbits)"; every other one and the like: as their number and ends.</summary>
    public static string Of(IReadOnlyList<int> orbits)
    {
        ArgumentNullException.ThrowIfNull(orbits);
        if (orbits.Count == 0) return "none";
        var stretches = new List<(int First, int Last)>();
        foreach (var orbit in orbits.Order())
            if (stretches.Count > 0 && stretches[^1].Last + 1 == orbit) stretches[^1] = (stretches[^1].First, orbit);
            else stretches.Add((orbit, orbit));
        var words = orbits.Count == 1 ? "1 orbit" : string.Create(CultureInfo.InvariantCulture, $"{orbits.Count} orbits");
        // Chosen: more stretches than that are read by nobody.
        const int mostStretches = 8;
        if (stretches.Count > mostStretches) return string.Create(CultureInfo.InvariantCulture, $"{words} between {stretches[0].First} and {stretches[^1].Last}");
        return string.Join(", ", stretches.Select(s => s.First == s.Last ? Number(s.First) : $"{Number(s.First)}–{Number(s.Last)}")) + (orbits.Count == 1 ? "" : $" ({words})");
    }

    private static string Number(int orbit) => orbit.ToString(CultureInfo.InvariantCulture);
}
