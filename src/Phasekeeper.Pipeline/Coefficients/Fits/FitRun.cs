using System.Diagnostics;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Core.Trackers;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Fits;

/// <summary>Computes a fit on a window and tries it on the same orbits; stores nothing. Takes some 0.3 s of one processor an orbit.</summary>
internal static class FitRun
{
    /// <summary>The fit.</summary>
    /// <exception cref="DecisionRefusedException">There is nothing to fit, or too much.</exception>
    public static FitTrial Run(FitRequest request, MissionState mission, Stores stores, CancellationToken cancel)
    {
        var watch = Stopwatch.StartNew();
        var window = FitWindow.Of(request, mission, stores);
        var before = new SetTrial(stores, mission, window.From);
        var inputs = new SortedDictionary<int, OrbitInput>();
        foreach (var orbit in window.All)
        {
            cancel.ThrowIfCancellationRequested();
            inputs.Add(orbit.Number, before.Input(orbit));
        }
        var result = CoefficientFit.Fit(window.From.Set, mission.Instrument!, [.. window.Fitted.Select(o => inputs[o.Number])], request.Parts.ToHashSet(), new FitAround(stores, mission).Of(window, request.Parts.ToHashSet()));
        var after = new SetTrial(stores, mission, CoefficientSets.New(result.Set), like: before);
        var (held, later) = (window.HeldOut.Select(o => o.Number).ToHashSet(), window.HeldOutLater.Select(o => o.Number).ToHashSet());
        var pairs = new List<OrbitResiduals>();
        foreach (var orbit in window.All)
        {
            cancel.ThrowIfCancellationRequested();
            var use = held.Contains(orbit.Number) ? OrbitUse.HeldOut : later.Contains(orbit.Number) ? OrbitUse.HeldOutLater : OrbitUse.Fitted;
            pairs.Add(OrbitResiduals.Of(new OrbitAnalysis(inputs[orbit.Number]), new OrbitAnalysis(after.Input(orbit)), use));
        }
        var residuals = ProposalResiduals.Compare(pairs).Changes;
        // What residuals say belongs to the fit's warnings: whoever tries it sees all at once.
        var warned = result with { Warnings = [.. result.Warnings.Concat(EvidenceWarnings.Of(residuals, held.Count + later.Count)).Distinct()] };
        return new(warned, window.From.SetId, window.From.Set.Name, [.. window.Fitted.Select(o => o.Number)], [.. held.Order()], residuals, watch.Elapsed.TotalSeconds) { HeldOutLater = [.. later.Order()] };
    }
}
