using System.Globalization;

namespace Phasekeeper.Core.Coefficients;

/// <summary>One difference between two coefficient sets.</summary>
/// <param name="Number">Where it stands, as in <see cref="CoefficientNumber"/>; also optics.flat (samples that differ, and the largest ratio) and badSamples (number of samples).</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Index">Place in a list; null for a single number.</param>
/// <param name="Unit">Unit; 1 for a ratio.</param>
/// <param name="Before">In the first set; NaN where it has none.</param>
/// <param name="After">In the second set; NaN where it has none.</param>
/// <param name="Remark">What the two numbers do not say; null for nothing.</param>
public sealed record CoefficientDifference(string Number, string? View, string? Line, string? Index, string Unit, double Before, double After, string? Remark);

/// <summary>What differs between two coefficient sets, number by number.</summary>
public static class CoefficientDifferences
{
    /// <summary>All differences, in the order of the contract's JSON. Names and validity are no numbers.</summary>
    public static IReadOnlyList<CoefficientDifference> Between(CoefficientSet before, CoefficientSet after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        var (old, now) = (CoefficientNumbers.Of(before).ToArray(), CoefficientNumbers.Of(after).ToArray());
        var (oldBy, nowBy) = (old.ToDictionary(n => n.Key), now.ToDictionary(n => n.Key));
        // A number that only the second set has stands behind those of the first.
        var numbers = old.Concat(now.Where(n => !oldBy.ContainsKey(n.Key)))
            .Select(n => (N: n, Before: Value(oldBy, n), After: Value(nowBy, n))).Where(n => !n.Before.Equals(n.After))
            .Select(n => new CoefficientDifference(n.N.Number, n.N.View, n.N.Line, n.N.Index, n.N.Unit, n.Before, n.After, null));
        return [.. numbers, .. after.Optics.Select(o => Flat(before.OpticsOf(o.View, o.Line), o)).OfType<CoefficientDifference>(), .. BadSamples(before, after)];
    }

    private static double Value(Dictionary<(string, string?, string?, string?), CoefficientNumber> numbers, CoefficientNumber of) =>
        numbers.TryGetValue(of.Key, out var found) ? found.Value : double.NaN;

    private static CoefficientDifference? Flat(OpticsCoefficients? before, OpticsCoefficients after)
    {
        var (old, now) = (before?.Flat, after.Flat);
        if (old is null && now is null) return null;
        var (count, furthest) = (0L, 1.0);
        for (var r = 0; r < (now ?? old)!.Length; r++)
            for (var i = 0; i < (now ?? old)![r].Length; i++)
            {
                var ratio = (now?[r][i] ?? 1) / (old?[r][i] ?? 1);
                if (ratio == 1) continue;
                count++;
                if (Math.Abs(Math.Log(ratio)) > Math.Abs(Math.Log(furthest))) furthest = ratio;
            }
        return count == 0 ? null : new("optics.flat", after.View, after.Line, null, "1", 1, furthest,
            string.Create(CultureInfo.InvariantCulture, $"{count} samples differ; the one furthest off by the ratio shown"));
    }

    private static IEnumerable<CoefficientDifference> BadSamples(CoefficientSet before, CoefficientSet after)
    {
        var (added, removed) = (after.BadSamples.Except(before.BadSamples).ToArray(), before.BadSamples.Except(after.BadSamples).ToArray());
        foreach (var group in added.Concat(removed).GroupBy(b => (b.View, b.Line)).OrderBy(g => g.Key))
        {
            int Count(IEnumerable<BadSample> samples) => samples.Count(b => (b.View, b.Line) == group.Key);
            yield return new("badSamples", group.Key.View, group.Key.Line, null, "count", Count(before.BadSamples), Count(after.BadSamples),
                string.Create(CultureInfo.InvariantCulture, $"{Count(added)} added, {Count(removed)} taken out"));
        }
    }
}
