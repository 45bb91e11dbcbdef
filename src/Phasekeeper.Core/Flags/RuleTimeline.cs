namespace Phasekeeper.Core.Flags;

/// <summary>A version of the rules in force.</summary>
/// <param name="Number">Number, from 1.</param>
/// <param name="FirstOrbit">First orbit that it judges; <see cref="int.MinValue"/> = from the beginning.</param>
/// <param name="Rules">The rules.</param>
public sealed record RuleVersion(long Number, int FirstOrbit, RuleSet Rules);

/// <summary>How one rule stood over a stretch of orbits, both ends inclusive.</summary>
/// <param name="FirstOrbit">First orbit; <see cref="int.MinValue"/> = from the beginning.</param>
/// <param name="LastOrbit">Last orbit; <see cref="int.MaxValue"/> = it goes on.</param>
/// <param name="Rule">The rule; null where it is not declared or not enabled.</param>
/// <param name="Version">Number of the version that brought it.</param>
public sealed record RuleStretch(int FirstOrbit, int LastOrbit, RuleDeclaration? Rule, long Version);

/// <summary>
/// Which rules judge which orbit. An orbit is judged by the version in force there, whenever its data come: so late data never bring a new rule to old orbits. A version that leaves a rule
/// as it is does not cut that rule's flags: stretches are per rule.
/// </summary>
public sealed class RuleTimeline
{
    private readonly RuleVersion[] _versions, _replaced;

    /// <summary>Versions in the order in which they were approved; of two that begin together the later counts.</summary>
    public RuleTimeline(IEnumerable<RuleVersion> versions)
    {
        ArgumentNullException.ThrowIfNull(versions);
        var (list, replaced) = (new List<RuleVersion>(), new List<RuleVersion>());
        foreach (var version in versions)
        {
            if (list.Count > 0 && version.FirstOrbit < list[^1].FirstOrbit)
                throw new ArgumentException($"Version {version.Number} of the rules begins at orbit {version.FirstOrbit}, before version {list[^1].Number} at orbit {list[^1].FirstOrbit}; expected versions that begin in the order of their numbers.", nameof(versions));
            if (list.Count > 0 && version.FirstOrbit == list[^1].FirstOrbit)
            {
                replaced.Add(list[^1]);
                list.RemoveAt(list.Count - 1);
            }
            list.Add(version);
        }
        if (list.Count == 0) throw new ArgumentException("Found no version of the rules; expected at least one.", nameof(versions));
        (_versions, _replaced) = ([.. list], [.. replaced]);
    }

    /// <summary>One version, from the beginning.</summary>
    public static RuleTimeline Of(RuleSet rules) => new([new(1, int.MinValue, rules)]);

    /// <summary>Versions that count, in order.</summary>
    public IReadOnlyList<RuleVersion> Versions => _versions;

    /// <summary>The version that judges what comes.</summary>
    public RuleVersion Newest => _versions[^1];

    /// <summary>The version that judges an orbit; before the first one: the first one.</summary>
    public RuleVersion At(int orbit) => _versions.LastOrDefault(v => v.FirstOrbit <= orbit) ?? _versions[0];

    /// <summary>Ids of all rules of all versions: those of the newest first, in its order; those of versions that no longer count last, since they may have left flags.</summary>
    public IEnumerable<string> RuleIds => _versions.Reverse().Concat(_replaced).SelectMany(v => v.Rules.Rules).Select(r => r.Id).Distinct(StringComparer.Ordinal);

    /// <summary>Whether only versions that no longer count ran a rule: then it has no place anywhere, and its flags go.</summary>
    public bool RanOnlyBefore(string rule) => _replaced.Any(v => Runs(v, rule)) && !_versions.Any(v => Runs(v, rule));

    private static bool Runs(RuleVersion version, string rule) => version.Rules.Find(rule) is { Enabled: true };

    /// <summary>The stretches of a rule, in order, without gaps; neighbours differ.</summary>
    public IReadOnlyList<RuleStretch> Of(string rule)
    {
        var stretches = new List<RuleStretch>();
        for (var i = 0; i < _versions.Length; i++)
        {
            var declared = _versions[i].Rules.Find(rule) is { Enabled: true } enabled ? enabled : null;
            var last = i + 1 < _versions.Length ? _versions[i + 1].FirstOrbit - 1 : int.MaxValue;
            // A fingerprint of all that decides the outcome: the same outcome is the same rule.
            if (stretches.Count > 0 && stretches[^1].Rule?.VersionText == declared?.VersionText) stretches[^1] = stretches[^1] with { LastOrbit = last };
            else stretches.Add(new(i == 0 ? int.MinValue : _versions[i].FirstOrbit, last, declared, _versions[i].Number));
        }
        return stretches;
    }
}
