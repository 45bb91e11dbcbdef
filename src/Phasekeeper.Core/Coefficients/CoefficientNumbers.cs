using System.Globalization;

namespace Phasekeeper.Core.Coefficients;

/// <summary>One number of a coefficient set, named as in the contract's JSON.</summary>
/// <param name="Number">Where it stands: dark.biasCounts, optics.thermal.radPerK, imageShift.samplesPerK.</param>
/// <param name="View">View; null where it does not apply.</param>
/// <param name="Line">Line; null where it does not apply.</param>
/// <param name="Index">Place in a list: a detector row, or powers j,k of x and y; null for a single number.</param>
/// <param name="Unit">Unit; 1 for a ratio.</param>
/// <param name="Value">The number.</param>
public readonly record struct CoefficientNumber(string Number, string? View, string? Line, string? Index, string Unit, double Value)
{
    /// <summary>Place of the number, whatever its value.</summary>
    public (string, string?, string?, string?) Key => (Number, View, Line, Index);
}

/// <summary>A coefficient set as a list of numbers, in the order of the contract's JSON; flat fields and bad samples, which are pictures and lists, are left out.</summary>
public static class CoefficientNumbers
{
    /// <summary>All numbers of a set.</summary>
    public static IEnumerable<CoefficientNumber> Of(CoefficientSet set)
    {
        ArgumentNullException.ThrowIfNull(set);
        yield return new("dark.biasCounts", null, null, null, "count", set.Dark.BiasCounts);
        yield return new("dark.rateElectronsPerS", null, null, null, "e-/s", set.Dark.RateElectronsPerS);
        yield return new("dark.referenceC", null, null, null, "degC", set.Dark.ReferenceC);
        yield return new("dark.doublingK", null, null, null, "K", set.Dark.DoublingK);
        foreach (var number in set.Optics.SelectMany(Of)) yield return number;
        foreach (var law in set.ImageShift)
        {
            yield return new("imageShift.samplesPerK", law.View, null, null, "samples/K", law.SamplesPerK);
            yield return new("imageShift.referenceC", law.View, null, null, "degC", law.ReferenceC);
            yield return new("imageShift.offsetSamples", law.View, null, null, "samples", law.OffsetSamples);
        }
    }

    private static IEnumerable<CoefficientNumber> Of(OpticsCoefficients o)
    {
        CoefficientNumber Single(string name, string unit, double value) => new("optics." + name, o.View, o.Line, null, unit, value);
        for (var j = 0; j < o.DistortionRad.Length; j++)
            for (var k = 0; k < o.DistortionRad[j].Length; k++)
                yield return new("optics.distortionRad", o.View, o.Line, string.Create(CultureInfo.InvariantCulture, $"{j},{k}"), "rad", o.DistortionRad[j][k]);
        for (var r = 0; r < o.ZeroWindRad.Length; r++)
            yield return new("optics.zeroWindRad", o.View, o.Line, r.ToString(CultureInfo.InvariantCulture), "rad", o.ZeroWindRad[r]);
        yield return Single("visibility", "1", o.Visibility);
        yield return new("optics.envelope", o.View, o.Line, "0", "1", o.EnvelopeM1);
        yield return new("optics.envelope", o.View, o.Line, "1", "1", o.EnvelopeM2);
        yield return Single("thermal.radPerK", "rad/K", o.Thermal.RadPerK);
        yield return Single("thermal.lagS", "s", o.Thermal.LagS);
        yield return Single("thermal.referenceC", "degC", o.Thermal.ReferenceC);
        yield return Single("lampRatio", "1", o.LampRatio);
        yield return Single("lampPhaseRad", "rad", o.LampPhaseRad);
        yield return Single("lampElectrons", "e-", o.LampElectrons);
        yield return Single("lampVisibility", "1", o.LampVisibility);
    }
}
