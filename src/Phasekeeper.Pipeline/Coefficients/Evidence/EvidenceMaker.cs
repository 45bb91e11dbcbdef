using System.Diagnostics;
using System.Globalization;
using Phasekeeper.Core.Coefficients;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Assessment;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Evidence;

/// <summary>
/// Computes what a proposed set would change: a bounded number of orbits is made with the set in force and with the proposed one, from the archive and by the ordinary code. It takes one processor, some
/// 0.3 s an orbit and a second an orbit with winds, and stores nothing.
/// </summary>
internal sealed class EvidenceMaker(Stores stores)
{
    /// <summary>The evidence.</summary>
    /// <param name="set">The proposed set.</param>
    /// <param name="outcome">What its approval would do.</param>
    /// <param name="mission">Mission.</param>
    /// <param name="progress">Told of every step: words, orbits through, orbits in all.</param>
    /// <param name="cancel">Gives up.</param>
    /// <exception cref="InvalidOperationException">There is nothing to compute with.</exception>
    public ProposalEvidence Make(CoefficientSetRow set, DecisionOutcome outcome, MissionState mission, Action<string, int, int> progress, CancellationToken cancel)
    {
        var watch = Stopwatch.StartNew();
        if (mission.Instrument is not { } instrument || outcome.InPlaceOf is not { } against)
            throw new InvalidOperationException("No coefficient set is in force where this one is meant to begin: there is nothing to compare with.");
        var fit = stores.Coefficients.Fit(set.Id) is { } text ? FitDocument.Read(text) : null;
        var orbits = EvidenceOrbits.Of(fit, outcome.From, mission, stores);
        if (orbits.All.Count == 0) throw new InvalidOperationException("No orbit is complete with its neighbours yet, so nothing can be computed; ask again when there are some.");
        var (inForce, proposed) = (CoefficientSets.Stored(stores, instrument, against), CoefficientSets.Stored(stores, instrument, set.Id));
        // Before any data are read: what changes meanwhile has moved the ground.
        var ground = Grounds.Of(orbits.All, outcome.From, outcome.Orbit, against, Grounds.LookBackS(inForce.Set, proposed.Set), mission, stores);
        var before = new SetTrial(stores, mission, inForce);
        var after = new SetTrial(stores, mission, proposed, like: before);
        var windOrbits = orbits.ForWinds().Select(o => o.Number).ToHashSet();
        var pairs = new List<OrbitResiduals>();
        var (valuesBefore, valuesAfter) = (new List<TrackerValue>(), new List<TrackerValue>());
        var (factsBefore, factsAfter) = (new List<OrbitFacts>(), new List<OrbitFacts>());
        var changes = new List<WindChange>();
        var (gained, lost, done) = (0, 0, 0);
        var paces = new List<double>();
        foreach (var orbit in orbits.All)
        {
            progress("residuals and winds of orbits with both sets", done++, orbits.All.Count);
            cancel.ThrowIfCancellationRequested();
            // One analysis a set: trackers and residuals share its drift and image shift.
            var (was, would) = (new OrbitAnalysis(before.Input(orbit)), new OrbitAnalysis(after.Input(orbit)));
            var pair = OrbitResiduals.Of(was, would, orbits.Use(orbit.Number));
            valuesBefore.AddRange(TrackerCatalog.Compute(was, TrackerSource.Measurements));
            valuesAfter.AddRange(TrackerCatalog.Compute(would, TrackerSource.Measurements));
            factsBefore.Add(OrbitFacts.OfFringes(was));
            factsAfter.Add(OrbitFacts.OfFringes(would));
            if (!windOrbits.Contains(orbit.Number))
            {
                pairs.Add(pair);
                continue;
            }
            var start = watch.Elapsed.TotalSeconds;
            var winds = after.Winds(orbit, cancel);
            paces.Add(watch.Elapsed.TotalSeconds - start);
            var windsBefore = before.Winds(orbit, cancel);
            pairs.Add(pair with { Before = [.. pair.Before, .. WindResiduals.Of(orbit, was, before.Mission, windsBefore)], After = [.. pair.After, .. WindResiduals.Of(orbit, would, after.Mission, winds)] });
            var (more, moreGained, moreLost) = FormerWindComparison.Compare(windsBefore.Select(FormerWind.Of), winds.Select(FormerWind.Of));
            changes.AddRange(more);
            (gained, lost) = (gained + moreGained, lost + moreLost);
        }
        progress("comparison", done, orbits.All.Count);
        var (residuals, perOrbit) = ProposalResiduals.Compare(pairs);
        var flags = new FlagForecast(stores, mission, before.Set.SetId).Of(new(valuesBefore, factsBefore, before.Mission), new(valuesAfter, factsAfter, after.Mission), orbits.All);
        return new()
        {
            Against = against,
            AgainstName = before.Set.Set.Name,
            FittedOrbits = [.. orbits.Fitted.Select(o => o.Number)],
            HeldOutOrbits = [.. orbits.HeldOut.Select(o => o.Number)],
            HeldOutLaterOrbits = [.. orbits.HeldOutLater.Select(o => o.Number)],
            Numbers = fit?.Numbers ?? [],
            NewBadSamples = fit?.NewBadSamples ?? [],
            Residuals = residuals,
            ResidualOrbits = perOrbit,
            WindsByView = WindChangeGroups.Of(changes, WindChangeGroups.ByView),
            WindsByAltitude = WindChangeGroups.Of(changes, WindChangeGroups.ByAltitude),
            WindsByLatitude = WindChangeGroups.Of(changes, WindChangeGroups.ByLatitude),
            WindOrbits = [.. windOrbits.Order()],
            WindsGained = gained,
            WindsLost = lost,
            FlagsAppearing = flags.Appearing,
            FlagsVanishing = flags.Vanishing,
            FlagSeriesContinued = flags.Continued,
            FlagSeriesBegunAnew = flags.BegunAnew,
            Reprocessing = ReprocessingForecast.Of(outcome, Pace(paces, after, orbits.All[^1], watch), mission, stores),
            Warnings = [.. Warnings(fit, against, residuals, orbits), .. HandAgeing.Of(fit, before.Set.Set, after.Set.Set, orbits.All, mission, stores), .. NotMeasured(fit, before.Set.Set, after.Set.Set)],
            ComputedInS = watch.Elapsed.TotalSeconds,
            Ground = ground,
        };
    }

    // Winds as they were timed, and fringes retrieved once more: what was kept of them cost nothing.
    private double Pace(List<double> winds, SetTrial after, OrbitSlot orbit, Stopwatch watch)
    {
        if (winds.Count == 0) return double.NaN;
        var start = watch.Elapsed.TotalSeconds;
        new SetTrial(stores, after.Mission, after.Set, useStored: false).Fringes(orbit);
        return winds.Average() + watch.Elapsed.TotalSeconds - start;
    }

    // What the residuals above cannot see, so that "the same" is not read as "as good".
    private static IEnumerable<FitWarning> NotMeasured(FitDocument? fit, CoefficientSet before, CoefficientSet after)
    {
        if (fit is null)
            yield return new(FitWarningCodes.NotMeasured, "No fit of this program stands behind the set: whether its numbers were derived from the orbits that were looked at is not known here.");
        var followed = fit?.Numbers.Where(n => n is { Part: FitPart.LampReference, Number: "optics.zeroWindRad" }).Select(n => (n.View!, n.Line!)).ToHashSet() ?? [];
        foreach (var warning in Unmeasured.Of(before, after, followed)) yield return warning;
    }

    // What the fit warned of when it was made, without what residuals say now.
    private static IEnumerable<FitWarning> Warnings(FitDocument? fit, long against, IReadOnlyList<ResidualChange> residuals, EvidenceOrbits orbits)
    {
        foreach (var warning in fit?.Warnings ?? [])
            if (warning.Code is not (FitWarningCodes.WorseHeldOut or FitWarningCodes.NothingHeldOut or FitWarningCodes.MeasurementsLost or FitWarningCodes.WindsMoved)) yield return warning;
        if (fit is not null && fit.From != against)
            yield return new(FitWarningCodes.CrossesSets, string.Create(CultureInfo.InvariantCulture, $"The fit began from set {fit.From}, and set {against} is in force where this one is meant to begin: numbers that were not fitted are those of set {fit.From}."));
        foreach (var warning in EvidenceWarnings.Of(residuals, orbits.HeldOut.Count + orbits.HeldOutLater.Count)) yield return warning;
    }
}
