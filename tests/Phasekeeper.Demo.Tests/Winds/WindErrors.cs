using Phasekeeper.Core.Winds;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>Light at a tangent point.</summary>
public enum Sunlight
{
    /// <summary>Sun more than 7° above the horizon.</summary>
    Day,
    /// <summary>Between day and night, where the airglow changes along the ray.</summary>
    Twilight,
    /// <summary>Sun more than 11° below the horizon: the demo's airglow is dark of the day's layers.</summary>
    Night,
}

/// <summary>A wind and its truth, m/s.</summary>
/// <param name="Seen">Truth through the averaging kernel.</param>
/// <param name="Point">Truth at the tangent point.</param>
public readonly record struct WindError(long Exposure, string View, string Line, Sunlight Light, LosWind Wind, double Seen, double Point)
{
    /// <summary>Against the truth through the kernel.</summary>
    public double KernelMs => Wind.WindMs - Seen;
    /// <summary>Against the truth at the point.</summary>
    public double PointMs => Wind.WindMs - Point;
}

/// <summary>Figures of a group of winds.</summary>
/// <param name="BiasMs">Mean error through the kernel.</param>
/// <param name="BiasSigmaMs">1σ of that mean, from the scatter of the exposures' means, whose rows share errors.</param>
/// <param name="Point68Ms">68 % of the errors at the point are smaller.</param>
/// <param name="MedianMs">Median error at the point.</param>
/// <param name="Resolution68Ms">The same of what the kernel does to the truth.</param>
/// <param name="KernelRatio">Rms of error through the kernel over its σ.</param>
/// <param name="PointRatio">Rms of error at the point over its σ.</param>
/// <param name="SigmaMs">Median σ.</param>
/// <param name="ResolutionKm">Median vertical resolution.</param>
public sealed record WindFigures(int Count, double BiasMs, double BiasSigmaMs, double Point68Ms, double MedianMs, double Resolution68Ms, double KernelRatio, double PointRatio, double SigmaMs, double ResolutionKm)
{
    public static WindFigures Of(IReadOnlyCollection<WindError> errors)
    {
        if (errors.Count == 0) throw new ArgumentException("No winds to judge.", nameof(errors));
        var bias = errors.Average(e => e.KernelMs);
        // The mean's own σ: exposures are independent but for the corrections, rows of one are not.
        var ofExposures = errors.GroupBy(e => (e.Exposure, e.View)).Sum(g => Math.Pow(g.Sum(e => e.KernelMs - bias), 2));
        return new(errors.Count, bias, Math.Sqrt(ofExposures) / errors.Count, Quantile(errors.Select(e => Math.Abs(e.PointMs)), 0.6827), Quantile(errors.Select(e => e.PointMs), 0.5),
            Quantile(errors.Select(e => Math.Abs(e.Seen - e.Point)), 0.6827), Rms(errors.Select(e => e.KernelMs / e.Wind.SigmaThroughKernelMs)), Rms(errors.Select(e => e.PointMs / e.Wind.SigmaMs)),
            Quantile(errors.Select(e => e.Wind.SigmaMs), 0.5), Quantile(errors.Select(e => e.Wind.VerticalResolutionKm), 0.5));
    }

    public static double Rms(IEnumerable<double> values) => Math.Sqrt(values.Average(v => v * v));

    public static double Quantile(IEnumerable<double> values, double share)
    {
        double[] sorted = [.. values.Order()];
        return sorted[(int)(share * (sorted.Length - 1))];
    }
}

/// <summary>Winds of a scenario beside their truth.</summary>
public static class WindComparison
{
    /// <summary>Altitude bands of each line, km, that are judged apart.</summary>
    public static IReadOnlyList<(string Line, double LowKm, double HighKm)> Bands { get; } =
        [("green", 80, 110), ("green", 110, 150), ("green", 150, 200), ("green", 200, 330), ("red", 80, 150), ("red", 150, 200), ("red", 200, 330)];

    /// <summary>Every inverted wind with its truth.</summary>
    public static IReadOnlyList<WindError> Compare(IReadOnlyList<LosWindProfile> profiles, ScenarioTruth truth)
    {
        // Both lines of a view look at the same places.
        var at = profiles.Select(p => (p.Time, p.View)).Distinct().AsParallel().AsOrdered().Select(k => (Key: k, Truth: truth.At(k.Time, k.View))).ToArray().ToDictionary(k => k.Key, k => k.Truth);
        var errors = new List<WindError>();
        foreach (var profile in profiles.Where(p => p.MatrixRows.Length > 0))
        {
            var of = at[(profile.Time, profile.View)];
            var seen = of.ThroughKernel(profile);
            for (var k = 0; k < seen.Length; k++)
            {
                var row = profile.MatrixRows[k];
                errors.Add(new(profile.Exposure, profile.View, profile.Line, LightOf(of.SunCosine(row)), profile.Rows[row], seen[k], of.Rows[row].LineOfSightWindMs));
            }
        }
        return errors;
    }

    /// <summary>Day, twilight or night by the cosine of the solar zenith angle: limits at 83° and 101°, between which the demo's airglow fades.</summary>
    public static Sunlight LightOf(double sunCosine) => sunCosine > 0.122 ? Sunlight.Day : sunCosine < -0.191 ? Sunlight.Night : Sunlight.Twilight;
}
