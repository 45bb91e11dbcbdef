using Phasekeeper.Core.Comparison;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Web.Features.Vouch;

/// <summary>A set of independent winds.</summary>
/// <param name="Row">The file.</param>
/// <param name="Provenance">Its first comment lines; empty when it has none.</param>
/// <param name="Pairs">Pairs within the widest limits.</param>
/// <param name="Orbits">Orbits that they come from.</param>
public sealed record ComparisonSet(AuxiliaryRow Row, string Provenance, long Pairs, long Orbits);

/// <summary>Pairs of a choice.</summary>
/// <param name="Pairs">In order of time.</param>
/// <param name="Cut">True when older orbits were left out: see <see cref="VouchQueries.MostPairs"/>.</param>
/// <param name="HeldOrbits">Orbits with pairs that people hold: those pairs are left out.</param>
public sealed record ChosenPairs(IReadOnlyList<ComparisonPair> Pairs, bool Cut, IReadOnlyList<int> HeldOrbits);

/// <summary>What the page and the API of independent winds read.</summary>
public sealed class VouchQueries(Stores stores)
{
    /// <summary>Pairs that are read at most, the newest orbits first (chosen: a month of a dense model in some seconds).</summary>
    public const int MostPairs = 300_000;

    private const int CommentLines = 12;

    // By the hash of the content: the number of a set that was forgotten may be given to the next one.
    private readonly Dictionary<string, string> provenance = new(StringComparer.Ordinal);

    /// <summary>All sets, the newest first.</summary>
    public IReadOnlyList<ComparisonSet> Sets()
    {
        var counts = stores.Comparisons.Counts();
        return [.. stores.Auxiliary.List(AuxiliaryKind.Winds).Reverse().Select(r => new ComparisonSet(r, Provenance(r), counts.GetValueOrDefault(r.Id).Pairs, counts.GetValueOrDefault(r.Id).Orbits))];
    }

    /// <summary>A set; null when there is none.</summary>
    public AuxiliaryRow? Set(long id) => stores.Auxiliary.Get(id) is { Kind: AuxiliaryKind.Winds } row ? row : null;

    /// <summary>Pairs of a set.</summary>
    public ChosenPairs Pairs(long set, ComparisonChoice choice)
    {
        var (pairs, cut) = stores.Comparisons.Read(set, choice.From, choice.To, MostPairs);
        var chosen = pairs.Where(p => choice.Holds(p)).ToList();
        // Winds that people hold vouch for nothing.
        var held = stores.Holds.Held();
        return new([.. chosen.Where(p => !held.ContainsKey(p.Orbit))], cut, [.. chosen.Select(p => p.Orbit).Distinct().Where(held.ContainsKey).Order()]);
    }

    // Comment lines above the column names: what its maker says of it.
    private string Provenance(AuxiliaryRow row)
    {
        var content = Convert.ToHexStringLower(row.Sha256);
        lock (provenance)
        {
            if (provenance.TryGetValue(content, out var known)) return known;
            var lines = new List<string>();
            foreach (var raw in AuxiliaryReader.Text(stores.Auxiliary.Content(row.Id)).EnumerateLines())
            {
                var line = raw.Trim();
                if (line.IsEmpty) continue;
                if (line[0] != '#' || lines.Count == CommentLines) break;
                lines.Add(line.TrimStart('#').Trim().ToString());
            }
            return provenance[content] = string.Join(" ", lines);
        }
    }
}
