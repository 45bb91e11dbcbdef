using Phasekeeper.Core.Winds;

namespace Phasekeeper.Demo.Tests.Winds;

/// <summary>Good vectors of one line outside twilight against the wind at the point, m/s.</summary>
/// <param name="EastMs">Mean error of the eastward wind.</param>
/// <param name="NorthMs">Mean error of the northward wind.</param>
/// <param name="EastRatio">Rms of the eastward error over its σ.</param>
/// <param name="NorthRatio">Rms of the northward error over its σ.</param>
/// <param name="HalfChiSquare">Mean of dᵀ·C⁻¹·d/2 with the reported covariance: 1 where it is right.</param>
public sealed record VectorFigures(int Count, double EastMs, double NorthMs, double EastRatio, double NorthRatio, double HalfChiSquare, IReadOnlyList<double> EastErrors, IReadOnlyList<double> NorthErrors, IReadOnlyList<double> Scaled)
{
    public static VectorFigures Of(IReadOnlyList<LosWindProfile> profiles, ScenarioTruth truth, string line)
    {
        LosWindProfile[] Of(string view) => [.. profiles.Where(p => p.View == view && p.Line == line)];
        var times = Of("A").ToDictionary(p => p.Exposure, p => p.Time);
        var good = WindVectorMatcher.Match(Of("F"), Of("A")).Where(v => v.Quality == WindQuality.Good).ToArray();
        var truths = good.Select(v => v.SecondExposure).Distinct().AsParallel().Select(e => (e, At: truth.At(times[e], "A"))).ToArray().ToDictionary(t => t.e, t => t.At);
        WindVector[] light = [.. good.Where(v => WindComparison.LightOf(truths[v.SecondExposure].SunCosine(v.Row)) != Sunlight.Twilight)];
        double[] east = [.. light.Select(v => v.EastwardMs - truths[v.SecondExposure].Rows[v.Row].EastwardMs)];
        double[] north = [.. light.Select(v => v.NorthwardMs - truths[v.SecondExposure].Rows[v.Row].NorthwardMs)];
        double[] eastScaled = [.. light.Select((v, i) => east[i] / v.EastwardSigmaMs)], northScaled = [.. light.Select((v, i) => north[i] / v.NorthwardSigmaMs)];
        var chi = light.Select((v, i) =>
        {
            var rho = v.CovarianceM2S2 / (v.EastwardSigmaMs * v.NorthwardSigmaMs);
            return 0.5 * (eastScaled[i] * eastScaled[i] - 2 * rho * eastScaled[i] * northScaled[i] + northScaled[i] * northScaled[i]) / (1 - rho * rho);
        });
        return new(light.Length, east.Average(), north.Average(), WindFigures.Rms(eastScaled), WindFigures.Rms(northScaled), chi.Average(), east, north, [.. eastScaled, .. northScaled]);
    }
}
