using System.Globalization;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>
/// Dark law from the dark exposures of all views and lines: <c>signal/t = rate·2^((T − ref)/doubling) + bias error/t</c>, by Gauss–Newton. The doubling is free where the detector's temperature has moved, the bias where integration times differ;
/// with one integration time a bias error is the same thing as a rate.
/// </summary>
internal static class DarkPart
{
    /// <summary>Range of detector temperature from which the doubling is fitted, K (chosen: over 2 K a rate that doubles in 6.5 K changes by a quarter).</summary>
    public const double LeastRangeK = 2;

    /// <summary>Longest over shortest integration time from which the bias is told from the rate (chosen: half of the signal then stays).</summary>
    public const double LeastIntegrationRatio = 2;

    /// <summary>Largest σ of the doubling over itself with which it is taken (chosen: beyond it a set would carry noise).</summary>
    public const double LargestDoublingShare = 0.25;

    private const int LeastExposures = 3; // chosen
    private const int MostRounds = 30;
    private const double ReadNoiseShare = 0.001; // of a rate: what a row's σ may not fall below (chosen: rounding of counts)

    private readonly record struct Dark(double RateElectronsPerS, double SigmaElectronsPerS, double DetectorC, double IntegrationS, Core.Time.Instant Time);

    /// <summary>Fits the law.</summary>
    public static void Fit(FitDraft draft, FitWindow window)
    {
        var law = window.Set.Dark;
        (int Orbit, Dark[] Darks)[] orbits = [.. window.Orbits.Select(o => (o.Input.Orbit, Darks(o))).Where(o => o.Item2.Length > 0)];
        Dark[] all = [.. orbits.SelectMany(o => o.Darks)];
        var exposures = all.Select(d => d.Time).Distinct().Count();
        if (exposures < LeastExposures)
        {
            draft.NotDetermined($"The dark law stays: {exposures} dark exposures with a detector temperature; at least {LeastExposures} are needed.");
            return;
        }
        var range = all.Max(d => d.DetectorC) - all.Min(d => d.DetectorC);
        var doubling = law.DoublingK != 0 && range >= LeastRangeK;
        var bias = all.Max(d => d.IntegrationS) >= LeastIntegrationRatio * all.Min(d => d.IntegrationS);
        if (!bias) draft.NotDetermined(Text($"The bias stays: the dark exposures' integration times lie within a factor of {all.Max(d => d.IntegrationS) / all.Min(d => d.IntegrationS):0.0}; from {LeastIntegrationRatio:0} on a bias is told from a rate."));
        if (law.DoublingK != 0 && range < LeastRangeK)
        {
            draft.LittleRange(Text($"The detector covers {range:0.00} K at the dark exposures; the doubling wants {LeastRangeK:0} K or more."));
            draft.NotDetermined(Text($"The dark rate's doubling stays: the detector covers {range:0.00} K; at least {LeastRangeK:0} K are needed."));
        }
        var found = Solve(orbits, law, doubling, bias);
        if (doubling && (found is null || !(found.DoublingSigmaK <= LargestDoublingShare * Math.Abs(found.Law.DoublingK)) || found.Law.DoublingK <= 0))
        {
            draft.NotDetermined(found is null ? "The dark rate's doubling stays: the fit did not settle." : Text($"The dark rate's doubling stays: {found.Law.DoublingK:0.0} K with an uncertainty of {found.DoublingSigmaK:0.0} K was found; a quarter or less is needed."));
            found = Solve(orbits, law, doubling = false, bias);
        }
        if (found is null || found.Law.RateElectronsPerS < 0)
        {
            draft.NotDetermined(found is null ? "The dark law stays: the fit did not settle." : Text($"The dark law stays: a rate of {found.Law.RateElectronsPerS:0.000} electrons/s was found, and none below 0 can be; the bias is in doubt."));
            return;
        }
        var biasCounts = law.BiasCounts + found.BiasElectrons / window.Instrument.ElectronsPerCount;
        if (bias) draft.Add(FitPart.Dark, "dark.biasCounts", null, null, "count", law.BiasCounts, biasCounts, found.BiasSigma / window.Instrument.ElectronsPerCount, found.Fit);
        draft.Add(FitPart.Dark, "dark.rateElectronsPerS", null, null, "e-/s", law.RateElectronsPerS, found.Law.RateElectronsPerS, found.RateSigma, found.Fit);
        if (doubling) draft.Add(FitPart.Dark, "dark.doublingK", null, null, "K", law.DoublingK, found.Law.DoublingK, found.DoublingSigmaK, found.Fit);
        draft.Set = draft.Set with { Dark = found.Law with { BiasCounts = biasCounts } };
    }

    private static Dark[] Darks(OrbitAnalysis orbit)
    {
        List<Dark> darks = [];
        foreach (var channel in orbit.Channels)
            foreach (var f in orbit.Exposures(ExposureKind.Dark, channel.View, channel.Line.Id))
            {
                if (!(f.IntegrationS > 0) || !double.IsFinite(f.DetectorC) || RowAverages.OfOne(f, f.SignalElectrons, f.SignalSigmaElectrons) is not { } mean) continue;
                var rate = mean.Mean / f.IntegrationS;
                darks.Add(new(rate, Math.Max(mean.Sigma / f.IntegrationS, ReadNoiseShare * Math.Abs(rate)), f.DetectorC, f.IntegrationS, f.Time));
            }
        return [.. darks.OrderBy(d => d.Time)];
    }

    private sealed record Found(DarkLaw Law, double RateSigma, double DoublingSigmaK, double BiasElectrons, double BiasSigma, ClusteredFit Fit);

    // Columns: rate, β = 1/doubling (a change of it), 1/t (bias).
    private static Found? Solve((int Orbit, Dark[] Darks)[] orbits, DarkLaw law, bool doubling, bool bias)
    {
        double rate = law.RateElectronsPerS, beta = law.DoublingK == 0 ? 0 : 1 / law.DoublingK;
        // A rate of nothing has no doubling: the rate comes first.
        if (doubling)
        {
            if (Solve(orbits, law, false, bias) is not { } first) return null;
            rate = first.Law.RateElectronsPerS;
        }
        for (var round = 0; round < MostRounds; round++)
        {
            double Growth(Dark d) => Math.Pow(2, (d.DetectorC - law.ReferenceC) * beta);
            double[] Row(Dark d)
            {
                List<double> row = [Growth(d)];
                if (doubling) row.Add(rate * Growth(d) * Math.Log(2) * (d.DetectorC - law.ReferenceC));
                if (bias) row.Add(1 / d.IntegrationS);
                return [.. row];
            }
            PointCluster[] clusters = [.. orbits.Select(o => new PointCluster(o.Orbit, [.. o.Darks.Select(Row)], [.. o.Darks.Select(d => d.RateElectronsPerS)], [.. o.Darks.Select(d => d.SigmaElectronsPerS)]))];
            if (ClusteredRegression.TryFit(clusters) is not { } fit) return null;
            rate = fit.Estimate[0];
            var at = 1;
            var betaSigma = 0.0;
            if (doubling)
            {
                betaSigma = fit.Sigma(at);
                var change = fit.Estimate[at++];
                beta += change;
                if (!double.IsFinite(beta) || Math.Abs(beta) > 10) return null;
                if (Math.Abs(change) > 1e-3 * betaSigma) continue;
            }
            var k = beta == 0 ? 0 : 1 / beta;
            // The law's own number where it was held: 1/(1/x) is not always x.
            return new(law with { RateElectronsPerS = rate, DoublingK = doubling ? k : law.DoublingK }, fit.Sigma(0), betaSigma * k * k, bias ? fit.Estimate[at] : 0, bias ? fit.Sigma(at) : 0, fit);
        }
        return null;
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
