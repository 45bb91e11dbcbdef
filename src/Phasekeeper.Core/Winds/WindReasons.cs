using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Limb;
using Phasekeeper.Core.Thermal;

namespace Phasekeeper.Core.Winds;

/// <summary>Why a wind is not good. The words are part of the interface; the sentences carry the numbers.</summary>
internal static class WindReasons
{
    /// <summary>Reasons in the row's measurement and its corrections.</summary>
    public static IEnumerable<WindQualityReason> OfRow(LosWindInput input, int row, LosWindOptions options)
    {
        var fringe = input.Fringe;
        if (input.Looks[row].Outcome != LookOutcome.Tangent)
            yield return new(WindQuality.Bad, "no-tangent-point", input.Looks[row].Outcome == LookOutcome.MeetsEarth
                ? "The line of sight meets the Earth." : "The line of sight rises from the satellite on.");
        if (fringe.Status[row] != RowStatus.Ok)
        {
            yield return new(WindQuality.Bad, "no-phase", fringe.Status[row] switch
            {
                RowStatus.Missing => "The packet of this row did not arrive.",
                RowStatus.TooFewSamples => "Too few samples of this row are usable.",
                RowStatus.NoFringe => "No fringe can be told from noise.",
                RowStatus.NoMotion => "The satellite's motion is not known at this time.",
                _ => "The fringe fit did not settle.",
            });
            yield break;
        }
        if (fringe.ChiSquare[row] > options.DoubtfulChiSquare)
            yield return new(WindQuality.Doubtful, "fringe-misfit", $"The fringe fit has χ² {fringe.ChiSquare[row]:0.0} per degree of freedom (limit {options.DoubtfulChiSquare:0.0}).");
        if (fringe.MaskedSamples[row] > options.DoubtfulMaskedShare * input.Samples)
            yield return new(WindQuality.Doubtful, "masked-samples", $"{fringe.MaskedSamples[row]} of {input.Samples} samples are masked.");
        if (fringe.SaturatedSamples[row] > 0)
            yield return new(WindQuality.Doubtful, "saturation", $"{fringe.SaturatedSamples[row]} samples are saturated.");
        if (input.Drift is not { } drift)
            yield return new(WindQuality.Bad, "no-drift", "No interferometer temperature at this time: the optical drift is not known.");
        else
        {
            if (drift.Source == DriftSource.ModelOnly)
                yield return new(WindQuality.Bad, "no-lamp", "No lamp exposure within reach: the drift is the thermal model's alone.");
            if (drift.NearGap)
                yield return new(WindQuality.Doubtful, "temperature-gap", "Within five lags after a gap of the interferometer's temperature.");
        }
        if (!input.Shift.Measured && input.Shift.SigmaSamples > 0)
            yield return new(WindQuality.Doubtful, "no-fiducials", "The image shift is the bench law's alone: no fiducial was measured in this stretch.");
    }

    /// <summary>Reasons in the inversion at height number <paramref name="k"/>; <paramref name="own"/>: the averaging kernel summed over the wind's own height; <paramref name="aboveMs"/>: σ of the wind at the next height above.</summary>
    public static IEnumerable<WindQualityReason> OfInversion(WindInversion inversion, LimbPaths paths, int k, double own, double sigmaMs, double aboveMs, LosWindOptions options)
    {
        if (own < options.GoodKernel)
            yield return new(own < options.DoubtfulKernel ? WindQuality.Bad : WindQuality.Doubtful, "weak-emission",
                $"Only {100 * Math.Max(0, own):0} % of the value comes from near this height ({100 * inversion.OwnLayerShare[k]:0} % of the row's light does): the rest is the prior's.");
        if (inversion.FarLight[k] > options.GoodFarLight)
            yield return new(inversion.FarLight[k] > options.DoubtfulFarLight ? WindQuality.Bad : WindQuality.Doubtful, "emission-gradient",
                $"The emission changes along the ray: light from elsewhere is uncertain by {Math.Min(999, 100 * inversion.FarLight[k]):0} % of this height's own (limits {100 * options.GoodFarLight:0} and {100 * options.DoubtfulFarLight:0} %).");
        var least = options.IsTerminator(inversion.ZenithDeg[k]) ? options.GoodOwnLightAtTerminator : options.GoodOwnLight;
        if (inversion.OwnLayerShare[k] < least)
            yield return new(WindQuality.Doubtful, "little-own-light",
                $"{100 * inversion.OwnLayerShare[k]:0} % of the row's light comes from its own height (limit {100 * least:0} %): what is not known of the rest moves the wind.");
        if (paths.HeightKm[k] < options.ViscousAboveKm && k + 1 < paths.Count && aboveMs > options.GoodEdgeMs && inversion.Emission[k] > options.EdgeFall * inversion.Emission[k + 1])
            yield return new(WindQuality.Doubtful, "layer-edge",
                $"The light fades to {100 * inversion.Emission[k + 1] / inversion.Emission[k]:0} % up to the next height, where the wind is known to {aboveMs:0} m/s (limit {options.GoodEdgeMs:0}): how it changes in between is not.");
        if (sigmaMs > options.GoodSigmaMs)
            yield return new(sigmaMs > options.DoubtfulSigmaMs ? WindQuality.Bad : WindQuality.Doubtful, "large-uncertainty",
                $"Its uncertainty is {sigmaMs:0} m/s (limits {options.GoodSigmaMs:0} and {options.DoubtfulSigmaMs:0}).");
        if (inversion.MisfitChiSquare > 2.5)
            yield return new(WindQuality.Doubtful, "inversion-misfit", $"The fitted profile misses the phases with χ² {inversion.MisfitChiSquare:0.0} per row.");
    }
}
