using System.Globalization;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Coefficients;
using Phasekeeper.Storage;
using Phasekeeper.Web.Features.Coefficients.Proposals;

namespace Phasekeeper.Web.Features.Coefficients;

/// <summary>Which of the orbits that a page shows still have products of a former coefficient set, while a decision is being followed.</summary>
/// <param name="All">Orbits shown.</param>
/// <param name="Old">Those that wait, with the set that their products have.</param>
/// <param name="Working">Those in work: they may have either.</param>
/// <param name="Names">Names of the former sets by number.</param>
/// <param name="IsHeld">True while a person holds reprocessing.</param>
public sealed record OldProducts(IReadOnlyList<int> All, IReadOnlyDictionary<int, long> Old, IReadOnlyList<int> Working, IReadOnlyDictionary<long, string> Names, bool IsHeld)
{
    /// <summary>What is read of some orbits; null when all of them have the sets in force.</summary>
    public static OldProducts? Of(Stores stores, IEnumerable<int> orbits)
    {
        ArgumentNullException.ThrowIfNull(stores);
        int[] shown = [.. orbits.Order()];
        var rows = stores.Reprocessing.Orbits().Where(r => Array.BinarySearch(shown, (int)r.Orbit) >= 0).ToArray();
        if (rows.Length == 0) return null;
        return new(shown, rows.Where(r => !r.IsWorking).ToDictionary(r => (int)r.Orbit, r => r.SetId), [.. rows.Where(r => r.IsWorking).Select(r => (int)r.Orbit)],
            rows.Select(r => r.SetId).Distinct().ToDictionary(id => id, id => stores.Coefficients.Head(id)!.Name), stores.Reprocessing.IsPaused);
    }

    /// <summary>The newest decision of which both versions of a UTC day are kept; null for none.</summary>
    public static long? DecisionWithBoth(Stores stores, DateOnly day)
    {
        ArgumentNullException.ThrowIfNull(stores);
        var kept = stores.Reprocessing.All().Where(r => r.Retired is null && r.Orbits > 0).Reverse().ToArray();
        if (kept.Length == 0) return null;
        int[] orbits = [.. stores.Orbits.Touching(Instant.StartOf(day), Instant.StartOf(day.AddDays(1))).Where(o => o.Start >= Instant.StartOf(day)).Select(o => o.Orbit)];
        return kept.FirstOrDefault(r => stores.FormerWinds.Orbits(r.Decision).Intersect(orbits).Any())?.Decision;
    }

    /// <summary>Word of one orbit: old, new or in work.</summary>
    public string WordOf(int orbit) => Old.ContainsKey(orbit) ? "old" : Working.Contains(orbit) ? "in work" : "new";

    /// <summary>What is old and what is new, sentences.</summary>
    public string Sentences
    {
        get
        {
            var parts = Old.GroupBy(o => o.Value).OrderBy(g => g.Key).Select(g => string.Create(CultureInfo.InvariantCulture,
                $"{(All.Count == 1 ? "This orbit still has" : g.Count() == All.Count ? $"All {All.Count} orbits still have" : $"{g.Count()} of these {All.Count} orbits still {(g.Count() == 1 ? "has" : "have")}")} the products of the former set {g.Key} '{Names[g.Key]}' (old){(All.Count == 1 ? "" : ": " + OrbitText.Of([.. g.Select(o => o.Key)]))}.")).ToList();
            if (Working.Count > 0) parts.Add(All.Count == 1 ? "This orbit is being made again just now." : string.Create(CultureInfo.InvariantCulture, $"{OrbitText.Of(Working)} {(Working.Count == 1 ? "is" : "are")} being made again just now."));
            if (All.Count > Old.Count + Working.Count) parts.Add("The others are made with the set in force (new).");
            parts.Add(IsHeld ? "Reprocessing is held." : "Reprocessing goes on, newest first.");
            return string.Join(' ', parts);
        }
    }
}
