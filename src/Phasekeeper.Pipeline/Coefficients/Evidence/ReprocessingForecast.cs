using System.Globalization;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Time;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>What an approval would make again, and how long that takes.</summary>
internal static class ReprocessingForecast
{
    // Chosen: two or three of them weigh out one that was made of few orbits.
    private const int PaceDecisions = 3;

    /// <summary>The forecast.</summary>
    /// <param name="outcome">What the approval would do.</param>
    /// <param name="secondsAnOrbit">Pace of this computation; NaN where nothing was measured.</param>
    /// <param name="mission">Mission.</param>
    /// <param name="stores">Stores.</param>
    public static ReprocessingOutlook Of(DecisionOutcome outcome, double secondsAnOrbit, MissionState mission, Stores stores)
    {
        var orbits = TouchedOrbits.In(outcome.From, outcome.To ?? Instant.MaxValue, mission, stores);
        var days = orbits.SelectMany(o => new[] { o.Start.UtcDate, o.End.AddSeconds(-1e-6).UtcDate }).Distinct().Order().ToArray();
        var (pace, basis) = Pace(secondsAnOrbit, stores);
        var estimate = orbits.Length == 0 ? 0 : pace * orbits.Length;
        return new(orbits.Length > 0 ? orbits[0].Number : null, orbits.Length > 0 ? orbits[^1].Number : null, orbits.Length, days, estimate, orbits.Length == 0 ? "No orbit with data lies there." : basis, secondsAnOrbit);
    }

    private static (double, string) Pace(double secondsAnOrbit, Stores stores)
    {
        var done = stores.Reprocessing.All();
        // The newest decisions: the program and the machine of years ago tell little.
        var newest = done.Where(r => r.WorkedOrbits > 0).TakeLast(PaceDecisions).ToArray();
        var (orbits, ms) = (newest.Sum(r => r.WorkedOrbits), newest.Sum(r => r.WorkedMs));
        if (orbits > 0)
            return (ms / 1000.0 / orbits, string.Create(CultureInfo.InvariantCulture, $"Measured when {orbits} orbits were made again here, last for decision {newest[^1].Decision} of {newest[^1].Started.UtcDate:yyyy-MM-dd}: {ms / 1000.0 / orbits:0.0} s an orbit, if nothing else is to be done."));
        return double.IsFinite(secondsAnOrbit)
            ? (secondsAnOrbit, string.Create(CultureInfo.InvariantCulture, $"No orbit was ever made again here; fringes and winds of this evidence took {secondsAnOrbit:0.0} s an orbit on one processor. Statistics and flags come on top, several processors shorten it."))
            : (double.NaN, "No orbit was ever made again here, and none was made for this evidence: nothing tells the pace.");
    }
}
