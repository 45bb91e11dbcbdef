namespace Phasekeeper.Core.Winds;

/// <summary>Prior knowledge that the inversion uses, and the limits of quality. All defaults are chosen; the reason stands beside each.</summary>
public sealed record LosWindOptions
{
    /// <summary>The defaults.</summary>
    public static LosWindOptions Default { get; } = new();

    /// <summary>Prior σ of the wind along the ray about zero, m/s (winds reach 130 m/s commonly and 220 m/s at times: domain.md section 1).</summary>
    public double WindPriorMs { get; init; } = 100;

    /// <summary>
    /// Correlation lengths of the wind with height from which each profile takes the one that explains its phases best, km. The short one admits a
    /// turn of the wind within 20 km; the long one averages noise but keeps the resolution near a usual row spacing of 10 km where the signal is good.
    /// </summary>
    public IReadOnlyList<double> WindCorrelationKm { get; init; } = [16, 24];

    /// <summary>
    /// Prior covariance of the wind, (m/s)²: half of the variance with the given correlation length, half with <see cref="BroadFactor"/> times that length, since winds also have
    /// a part that hardly changes with height.
    /// </summary>
    public double[] WindPrior(ReadOnlySpan<double> heightKm, double correlationKm)
    {
        var s = ProfilePrior.Covariance(heightKm, WindPriorMs * Math.Sqrt(0.5), correlationKm);
        var broad = ProfilePrior.Covariance(heightKm, WindPriorMs * Math.Sqrt(0.5), BroadFactor * correlationKm);
        for (var i = 0; i < s.Length; i++) s[i] += broad[i];
        return s;
    }

    /// <summary>See <see cref="WindPrior"/>.</summary>
    public double BroadFactor { get; init; } = 8;

    /// <summary>Emission scale height above the top row, km: where the fit starts and what it is held to within <see cref="TopScaleHeightSigma"/>.</summary>
    public double TopScaleHeightKm { get; init; } = 45;

    /// <summary>1σ of the natural logarithm of the scale height.</summary>
    public double TopScaleHeightSigma { get; init; } = 0.3;

    /// <summary>Relative error of a row's fringe amplitude beside noise (visibility and flat from row to row).</summary>
    public double AmplitudeError { get; init; } = 0.002;

    /// <summary>1σ of the wind's unseen change along the ray, m/s per 1000 km (tens of m/s across a few thousand km).</summary>
    public double UnseenWindGradient { get; init; } = 12;

    /// <summary>1σ of the wind's unseen curvature along the ray, m/s per (1000 km)².</summary>
    public double UnseenWindCurvature { get; init; } = 8;

    /// <summary>1σ of the emission's unseen relative change along the ray, 1 per 1000 km.</summary>
    public double UnseenEmissionGradient { get; init; } = 0.3;

    /// <summary>Correlation length of the unseen changes with height, km.</summary>
    public double UnseenCorrelationKm { get; init; } = 40;

    /// <summary>Smallest diagonal of the averaging kernel of a good wind: below it the prior supplies more than a third of the value.</summary>
    public double GoodKernel { get; init; } = 0.6;

    /// <summary>Smallest diagonal of the averaging kernel of a doubtful wind; below it the wind is bad.</summary>
    public double DoubtfulKernel { get; init; } = 0.2;

    /// <summary>Largest σ of a good wind, m/s.</summary>
    public double GoodSigmaMs { get; init; } = 10;

    /// <summary>Largest σ of a doubtful wind, m/s.</summary>
    public double DoubtfulSigmaMs { get; init; } = 40;

    /// <summary>χ² per degree of freedom of a fringe fit above which its wind is doubtful.</summary>
    public double DoubtfulChiSquare { get; init; } = 2;

    /// <summary>Share of masked samples of a row above which its wind is doubtful.</summary>
    public double DoubtfulMaskedShare { get; init; } = 0.2;
}
