using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>Adds to the map of bad samples those that are hot in more than half of the window's orbits that have dark exposures. One that was hot on a single orbit may have been hit by a particle.</summary>
internal static class BadSamplesPart
{
    /// <summary>Orbits with dark exposures from which the map is added to (chosen: a particle's hit does not come back on two of three).</summary>
    public const int LeastOrbits = 3;

    /// <summary>Adds the samples of all views and lines, in order of row and sample.</summary>
    public static void Fit(FitDraft draft, FitWindow window)
    {
        foreach (var channel in window.Channels)
        {
            OrbitAnalysis[] orbits = [.. window.Orbits.Where(o => o.Exposures(ExposureKind.Dark, channel.View, channel.Line.Id).Any())];
            if (orbits.Length < LeastOrbits)
            {
                draft.NotDetermined($"The map of bad samples stays: {orbits.Length} orbits with dark exposures; at least {LeastOrbits} are needed.", channel.View, channel.Line.Id);
                continue;
            }
            draft.NewBadSamples.AddRange(orbits.SelectMany(o => HotSamplesTracker.Persistent(o, channel)).GroupBy(b => b)
                .Where(g => 2 * g.Count() > orbits.Length).Select(g => g.Key).OrderBy(b => b.Row).ThenBy(b => b.Sample));
        }
        draft.Set = draft.Set with { BadSamples = [.. draft.Set.BadSamples, .. draft.NewBadSamples] };
    }
}
