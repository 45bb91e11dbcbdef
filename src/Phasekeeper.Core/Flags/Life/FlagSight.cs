namespace Phasekeeper.Core.Flags.Life;

/// <summary>What a person saw of a flag when they last took a step with it: new data are compared with it.</summary>
/// <param name="Severity">Severity.</param>
/// <param name="FirstOrbit">First orbit.</param>
/// <param name="LastOrbit">Last orbit.</param>
/// <param name="Series">Series whose charts signalled, see <see cref="FlagEvidence.SignalSeries"/>, joined by "; "; empty where the ground is no chart.</param>
public sealed record FlagSight(FlagSeverity Severity, int FirstOrbit, int LastOrbit, string Series = "")
{
    /// <summary>A settled flag that goes on for more than so many orbits beyond what was seen is reopened (chosen: a day of orbits; less is the same matter running out, more deserves a new look).</summary>
    public const int BeyondOrbits = 15;

    /// <summary>What there is to see of a flag.</summary>
    public static FlagSight Of(Flag flag)
    {
        ArgumentNullException.ThrowIfNull(flag);
        return new(flag.Severity, flag.FirstOrbit, flag.LastOrbit, string.Join("; ", flag.Evidence.SignalSeries()));
    }

    /// <summary>Why <paramref name="now"/> is another matter than what was seen; null when it is not.</summary>
    /// <param name="now">What there is to see now.</param>
    /// <param name="settled">Whether it was settled: then going on counts too; an explanation holds while the condition lasts.</param>
    public string? WhyOther(FlagSight now, bool settled)
    {
        ArgumentNullException.ThrowIfNull(now);
        if (now.Severity > Severity) return $"It grew from {Word(Severity)} to {Word(now.Severity)} since a person last looked at it.";
        if (now.Series.Length > 0 && now.Series.Split("; ").Except(Series.Split("; ")).ToArray() is { Length: > 0 } joined) return $"Other series joined it since a person last looked at it: {string.Join(", ", joined)}.";
        // Never both ends at once: a stretch that moves is measured by the end that went further.
        var beyond = Math.Max(now.LastOrbit - LastOrbit, FirstOrbit - now.FirstOrbit);
        return settled && beyond > BeyondOrbits
            ? $"It goes on: {FlagText.Orbits(now.FirstOrbit, now.LastOrbit)} now, {FlagText.Orbits(FirstOrbit, LastOrbit)} when it was settled; more than {BeyondOrbits} orbits further."
            : null;
    }

    private static string Word(FlagSeverity severity) => severity.ToString().ToLowerInvariant();
}
