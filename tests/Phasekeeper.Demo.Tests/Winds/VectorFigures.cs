using Phasekeeper.Core.Winds;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>Errors of vectors against some truth, m/s.</summary>
/// <param name="EastMs">Mean error of the eastward wind.</param>
/// <param name="NorthMs">Mean error of the northward wind.</param>
/// <param name="EastRatio">Rms of the eastward error over its σ.</param>
/// <param name="NorthRatio">Rms of the northward error over its σ.</param>
/// <param name="HalfChiSquare">Mean of dᵀ·C⁻¹·d/2 with the covariance that holds against this truth: 1 where it is right.</param>
public sealed record VectorErrors(double EastMs, double NorthMs, double EastRatio, double NorthRatio, double HalfChiSquare, IReadOnlyList<double> EastErrors, IReadOnlyList<double> NorthErrors, IReadOnlyList<double> Scaled)
{
    /// <summary>Errors of measured vectors.</summary>
    /// <param name="vectors">Measured vectors with their true eastward and northward wind, and a vector with the covariance of their difference.</param>
    internal static VectorErrors Of(IReadOnlyList<(WindVector Measured, double East, double North, WindVector Sigma)> vectors)
    {
        double[] east = [.. vectors.Select(v => v.Measured.EastwardMs - v.East)], north = [.. vectors.Select(v => v.Measured.NorthwardMs - v.North)];
        double[] eastScaled = [.. vectors.Select((v, i) => east[i] / v.Sigma.EastwardSigmaMs)], northScaled = [.. vectors.Select((v, i) => north[i] / v.Sigma.NorthwardSigmaMs)];
        var chi = vectors.Select((v, i) =>
        {
            var rho = v.Sigma.CovarianceM2S2 / (v.Sigma.EastwardSigmaMs * v.Sigma.NorthwardSigmaMs);
            return 0.5 * (eastScaled[i] * eastScaled[i] - 2 * rho * eastScaled[i] * northScaled[i] + northScaled[i] * northScaled[i]) / (1 - rho * rho);
        });
        return new(east.Average(), north.Average(), WindFigures.Rms(eastScaled), WindFigures.Rms(northScaled), chi.Average(), east, north, [.. eastScaled, .. northScaled]);
    }
}

/// <summary>Good vectors of one line outside twilight.</summary>
/// <param name="Kernel">Against the truth through both looks' averaging kernels (<see cref="VectorsThroughKernel"/>), with σ less the smoothing.</param>
/// <param name="Point">Against the wind at the point.</param>
public sealed record VectorFigures(int Count, VectorErrors Kernel, VectorErrors Point)
{
    public static VectorFigures Of(IReadOnlyList<LosWindProfile> profiles, ScenarioTruth truth, string line)
    {
        LosWindProfile[] Of(string view) => [.. profiles.Where(p => p.View == view && p.Line == line)];
        var (first, second) = (Of("F"), Of("A"));
        var at = first.Concat(second).AsParallel().Select(p => (Key: (p.View, p.Exposure), Truth: truth.At(p.Time, p.View))).ToArray().ToDictionary(t => t.Key, t => t.Truth);
        var light = WindVectorMatcher.Match(first, second).Zip(VectorsThroughKernel.Of(first, second, p => at[(p.View, p.Exposure)].ThroughKernel(p)), (Measured, Seen) => (Measured, Seen))
            .Where(v => v.Measured.Quality == WindQuality.Good && WindComparison.LightOf(at[("A", v.Measured.SecondExposure)].SunCosine(v.Measured.Row)) != Sunlight.Twilight).ToArray();
        var kernel = VectorErrors.Of([.. light.Select(v => (v.Measured, v.Seen.EastwardMs, v.Seen.NorthwardMs, v.Seen))]);
        var point = VectorErrors.Of([.. light.Select(v => (v.Measured, Sight: at[("A", v.Measured.SecondExposure)].Rows[v.Measured.Row])).Select(v => (v.Measured, v.Sight.EastwardMs, v.Sight.NorthwardMs, v.Measured))]);
        return new(light.Length, kernel, point);
    }
}
