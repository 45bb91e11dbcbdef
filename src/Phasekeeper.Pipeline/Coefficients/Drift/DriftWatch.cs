using System.Globalization;
using Phasekeeper.Core.Coefficients.Evidence;
using Phasekeeper.Core.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Fits;
using Phasekeeper.Pipeline.Coefficients.Trials;
using Phasekeeper.Pipeline.Engine;
using Phasekeeper.Pipeline.Mission;
using Phasekeeper.Storage;

namespace Phasekeeper.Pipeline.Coefficients.Drift;

/// <summary>
/// Proposes a set in the program's name when trackers have drifted away from the one in force: fits the numbers behind them on the newest orbits, and proposes when these change significantly and orbits held out get
/// better. One such proposal waits for a decision at a time; drift about which one was declined counts again when it has grown to <see cref="DriftGrounds.GrownTo"/> times what it was. It advises: nothing comes into
/// force without a person.
/// </summary>
public sealed class DriftWatch(Stores stores, PipelineEngine engine, FitDesk fits)
{
    /// <summary>Orbits of the window (chosen: three days; a slow drift hardly moves within them, and chance has little room).</summary>
    public const int WindowOrbits = 45;

    /// <summary>Fewest complete orbits of the window (chosen: the scatter from orbit to orbit is known well enough to say "significant").</summary>
    public const int LeastOrbits = 10;

    /// <summary>Change of a number from which it is significant, σ (chosen: eight numbers of four views and lines tried once a day give less than one false one in ten years).</summary>
    public const double SignificantSigmas = 5;

    // The same drift is fitted anew when a day of orbits has come.
    private (long Set, string Series, int Orbit)? looked;

    /// <summary>Whether it proposes at all.</summary>
    public bool IsOn { get; set; } = true;

    /// <summary>Looks once; gives the number of the set that was proposed, or null.</summary>
    public async Task<long?> LookAsync(CancellationToken cancel = default)
    {
        if (!IsOn || engine.Mission is not { Instrument: not null } mission || stores.Orbits.Last is not { } last || mission.Orbits.Of(last) is not { } newest) return null;
        var proposals = stores.Coefficients.HeadsBySource(CoefficientSource.System);
        if (proposals.Any(s => s.State == CoefficientDecision.Proposed)) return null;
        // While orbits wait for another set, flags speak of the one before.
        var timeline = DecidedTimeline.Of(stores.Coefficients.Decisions(), mission.Orbits);
        if (timeline.At(newest.Start) is not { } inForce || mission.Coefficients.At(newest.Start) is not { } current || current.SetId != inForce.SetId) return null;
        var declined = proposals.Where(s => s.State == CoefficientDecision.Declined).Select(s => stores.Coefficients.Fit(s.Id)).OfType<string>().Select(FitDocument.Read).Where(d => d.From == inForce.SetId);
        // What is approved from a later orbit on answers its drift already.
        var coming = timeline.Where(s => s.From > newest.Start && s.SetId != inForce.SetId).Select(s => s.SetId).Distinct()
            .Select(id => (CoefficientSets.Stored(stores, mission.Instrument, id).Set, stores.Coefficients.Fit(id) is { } text ? FitDocument.Read(text) : null));
        IReadOnlyList<DriftGround> grounds = [.. DriftGrounds.Now(stores, last, current.Set.Name), .. DriftGrounds.ZeroWind(ClaimedZeroWind.Of(newest.End, current.Set, mission, stores), last, SignificantSigmas)];
        grounds = DriftGrounds.Unanswered(grounds, current.Set, coming);
        var fresh = DriftGrounds.New(grounds, declined);
        if (fresh.Count == 0) return null;
        var series = string.Join(';', fresh.Select(g => $"{g.Tracker} {g.View} {g.Line}"));
        if (looked is { } before && before.Set == inForce.SetId && before.Series == series && last < before.Orbit + DriftGrounds.RecentOrbits) return null;
        var proposed = await ProposeAsync(grounds, fresh, inForce, last, mission, cancel).ConfigureAwait(false);
        // Only now: a look that failed is no look.
        looked = (inForce.SetId, series, last);
        return proposed;
    }

    private async Task<long?> ProposeAsync(IReadOnlyList<DriftGround> grounds, IReadOnlyList<DriftGround> fresh, DecidedStretch inForce, int last, MissionState mission, CancellationToken cancel)
    {
        var complete = LookedAtOrbits.Complete(last - WindowOrbits + 1, last, mission, stores).Where(o => o.Start >= inForce.From).ToArray();
        if (complete.Length < LeastOrbits) return null;
        var waiting = new Queue<IReadOnlyList<FitPart>>([WithReference(grounds.Select(Part))]);
        for (var round = 0; waiting.TryDequeue(out var parts); round++)
        {
            var request = new FitRequest { FirstOrbit = complete[0].Number, LastOrbit = complete[^1].Number, Parts = parts };
            var trial = await fits.TryAsync(request, cancel).ConfigureAwait(false);
            DriftGround[] behind = [.. grounds.Where(g => parts.Contains(Part(g)))];
            DriftGround[] better = [.. behind.Where(g => IsBetter(g, trial))];
            if (better.Any(fresh.Contains) && !trial.Result.Warnings.Any(w => w.Code == FitWarningCodes.WorseHeldOut))
            {
                var reason = Shortened(string.Create(CultureInfo.InvariantCulture, $"Drift away from the set '{trial.FromName}' on the orbits up to {last}: "), [.. behind.Select(DriftGrounds.Words)]);
                return await fits.ProposeAsync(request, trial, Name(last), complete[0].Start, reason, CoefficientSource.System, behind, Actor.System, cancel, Chosen(round)).ConfigureAwait(false);
            }
            if (round == 0)
                foreach (var fewer in Fewer(parts, better.Select(Part))) waiting.Enqueue(fewer);
        }
        return null;
    }

    /// <summary>
    /// What is fitted instead where all together make something worse: what drifts for a passing reason, such as a heater that was off for an hour, spoils the fit of what has aged. First all parts that got
    /// better, then each of them by itself.
    /// </summary>
    internal static IReadOnlyList<IReadOnlyList<FitPart>> Fewer(IReadOnlyList<FitPart> all, IEnumerable<FitPart> better)
    {
        FitPart[] parts = [.. better.Distinct().Order()];
        IEnumerable<IReadOnlyList<FitPart>> choices = [WithReference(parts), .. parts.Select(p => WithReference([p]))];
        var seen = new HashSet<string> { string.Join(',', all), "" };
        return [.. choices.Where(c => seen.Add(string.Join(',', c)))];
    }

    // A slope or lag without its reference would move the lamp's mean phase away from it; the reference takes Z along, so that no wind changes by it.
    private static IReadOnlyList<FitPart> WithReference(IEnumerable<FitPart> parts)
    {
        var set = parts.ToHashSet();
        if (set.Contains(FitPart.ThermalSlope) || set.Contains(FitPart.ThermalLag)) set.Add(FitPart.LampReference);
        return [.. set.Order()];
    }

    private static FitPart Part(DriftGround ground) => DriftTracker.All[ground.Tracker].Part;

    // The numbers behind a series change significantly, and its residual is smaller on both kinds of orbits that the fit has not seen. A drift that goes on leaves more on the later ones than on those of the fit: what
    // counts is before against after on the same orbits, and there a fit of last days' orbits beats the set that has been drifted away from.
    private static bool IsBetter(DriftGround ground, FitTrial trial)
    {
        var tracker = DriftTracker.All[ground.Tracker];
        bool Concerns(string? view, string? line) => (view is null || ground.View is null || view == ground.View) && (line is null || ground.Line is null || line == ground.Line);
        return trial.Result.Numbers.Any(n => n.Part == tracker.Part && Concerns(n.View, n.Line) && Math.Abs(n.ChangeSigmas) >= SignificantSigmas)
            && (tracker.Measure is null || trial.Residuals.Any(r => r.Measure == tracker.Measure && Concerns(r.View, r.Line) && Fell(r.HeldOut) && (r.HeldOutLater is null || Fell(r.HeldOutLater))));
    }

    // The evidence judges by the residuals by which this was chosen: whoever decides is to know that they are no independent witness of the choice.
    private static string Chosen(int round) => round == 0 ? ""
        : string.Create(CultureInfo.InvariantCulture, $" All drifting parts together made something worse, so fewer were fitted: this is choice {round}, the first whose residuals on the orbits held out became better. The evidence's residuals on orbits held out were thus looked at in choosing, and favour it a little; orbits that come later do not.");

    private static bool Fell(ResidualFigures? held) => held is { } h && h.RmsAfter < h.RmsBefore;

    private string Name(int last)
    {
        var names = stores.Coefficients.Names().Select(s => s.Name).ToHashSet(StringComparer.Ordinal);
        return Enumerable.Range(1, names.Count + 1).Select(i => string.Create(CultureInfo.InvariantCulture, $"drift up to orbit {last}{(i == 1 ? "" : $" ({i})")}")).First(n => !names.Contains(n));
    }

    private static string Shortened(string start, IReadOnlyList<string> parts)
    {
        for (var n = parts.Count; ; n--)
        {
            var text = start + string.Join("; ", parts.Take(n)) + (n < parts.Count ? string.Create(CultureInfo.InvariantCulture, $"; and {parts.Count - n} more.") : ".");
            if (text.Length <= CoefficientDesk.LongestReason || n == 1) return text;
        }
    }
}
