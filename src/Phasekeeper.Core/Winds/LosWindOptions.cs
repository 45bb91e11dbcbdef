namespace Phasekeeper.Core.Winds;

/// <summary>
/// Prior knowledge that the inversion uses, and the limits of quality. All defaults are chosen; the reason stands beside each. Sizes of what one exposure cannot see (short waves, unseen changes along the
/// ray, the terminator) were set on the demo scenario's seeds 201 to 212 and 601 to 612, with looks at seeds 301 to 512, within what the literature calls usual; how well they do on others (701 to 712): benchmark command
/// <c>wind-survey</c>, test WindBarTests.
/// </summary>
public sealed record LosWindOptions
{
    /// <summary>The defaults.</summary>
    public static LosWindOptions Default { get; } = new();

    /// <summary>Prior σ of the wind along the ray about zero, m/s (winds reach 130 m/s commonly and 220 m/s at times: domain.md section 1).</summary>
    public double WindPriorMs { get; init; } = 100;

    /// <summary>
    /// Correlation lengths of the wind with height from which each profile takes the one that explains its phases best, km, where rows lie up to <see cref="CoarseSpacingKm"/> apart. The short
    /// one admits the turns of tides within 12 km; the long one averages noise but keeps the resolution near a usual row spacing of 10 km where the signal is good.
    /// </summary>
    public IReadOnlyList<double> WindCorrelationKm { get; init; } = [10, 16, 24];

    /// <summary>Smallest correlation length in units of the closest row spacing: what is shorter cannot be told from noise (16 km at a spacing of 10 km).</summary>
    public double CorrelationPerSpacing { get; init; } = 1.5;

    /// <summary>Row spacing from which on the correlation length grows with the spacing, km: whoever places rows 40 km apart expects winds that vary slowly there.</summary>
    public double CoarseSpacingKm { get; init; } = 10;

    /// <summary>
    /// Prior covariance of the wind, (m/s)²: half of the variance with the given correlation length, half with <see cref="BroadFactor"/> times that length, since winds also have
    /// a part that hardly changes with height; and the short waves.
    /// </summary>
    /// <param name="heightKm">Wind heights, ascending.</param>
    /// <param name="tangentHeights">How many of them are tangent heights.</param>
    /// <param name="correlationKm">Correlation length.</param>
    /// <param name="waves">Covariance of the short waves, (m/s)².</param>
    /// <param name="viscous">True for what winds really do: above <see cref="ViscousAboveKm"/> the length grows with height. False for the constraint of the inversion.</param>
    internal double[] WindPrior(ReadOnlySpan<double> heightKm, int tangentHeights, double correlationKm, double[] waves, bool viscous)
    {
        var u = heightKm.Length;
        var scaled = new double[u];
        for (var i = 1; i < u; i++)
        {
            var upper = Math.Min(i, tangentHeights - 1);
            var step = viscous ? StiffenedKm(heightKm[i]) - StiffenedKm(heightKm[i - 1]) : heightKm[i] - heightKm[i - 1];
            scaled[i] = scaled[i - 1] + step / Math.Max(1, (heightKm[upper] - heightKm[upper - 1]) / CoarseSpacingKm);
        }
        var half = 0.5 * WindPriorMs * WindPriorMs;
        var s = new double[u * u];
        for (var i = 0; i < u; i++)
            for (var j = 0; j <= i; j++)
            {
                var distance = scaled[i] - scaled[j];
                s[i * u + j] = s[j * u + i] = waves[i * u + j] + half * (ProfilePrior.Correlation(distance, correlationKm) + ProfilePrior.Correlation(distance, BroadFactor * correlationKm))
                    + (i == j ? 2e-6 * half : 0);
            }
        return s;
    }

    /// <summary>
    /// Height above which viscosity, which grows as the air thins, stiffens the winds, km: from there on the correlation length grows with height by its own size every
    /// <see cref="ViscousDoublingKm"/>. Used for the error of smoothing, which is that of real winds (Rodgers 2000, section 3.2.1), and not for the constraint, which keeps the resolution.
    /// Chosen; common practice: above 200 km winds hardly change with height.
    /// </summary>
    public double ViscousAboveKm { get; init; } = 150;

    /// <summary>See <see cref="ViscousAboveKm"/>.</summary>
    public double ViscousDoublingKm { get; init; } = 20;

    /// <summary>Height, km, on which winds vary alike everywhere: dz/(1 + (z − z₀)/d) summed up, z₀ = <see cref="ViscousAboveKm"/>, d = <see cref="ViscousDoublingKm"/>.</summary>
    public double StiffenedKm(double heightKm) =>
        heightKm <= ViscousAboveKm ? heightKm : ViscousAboveKm + ViscousDoublingKm * Math.Log(1 + (heightKm - ViscousAboveKm) / ViscousDoublingKm);

    /// <summary>Covariance of waves that are short against the row spacing, (m/s)².</summary>
    internal double WaveCovariance(double aKm, double bKm) => WaveMs(aKm) * WaveMs(bKm) * ProfilePrior.Correlation(aKm - bKm, WaveCorrelationKm);

    /// <summary>1σ of short waves, m/s: what the wind does between rows 15–20 km apart. Chosen (gravity waves and short tides of some 10 m/s). It cannot be measured: summed over a day's profiles the evidence of the phases tells waves of 0 and 10 m/s hardly
    /// apart, so on a day of strong waves errors are up to 1.25 σ between rows, on a quiet one 0.75 σ.</summary>
    public double WaveSigmaMs { get; init; } = 8;

    /// <summary>Correlation length of short waves with height, km (a vertical wavelength of some 20 km).</summary>
    public double WaveCorrelationKm { get; init; } = 7;

    /// <summary>Height above which viscosity damps short waves, km; their σ falls by 1/e in <see cref="WaveFadeKm"/>. Chosen.</summary>
    public double WaveTopKm { get; init; } = 175;

    /// <summary>See <see cref="WaveTopKm"/>.</summary>
    public double WaveFadeKm { get; init; } = 20;

    private double WaveMs(double heightKm) => WaveSigmaMs * Math.Exp(-Math.Max(0, heightKm - WaveTopKm) / WaveFadeKm);

    /// <summary>
    /// What winds usually change by with height, m/s per km (of <see cref="StiffenedKm"/>), by which a badly seen height borrows from its neighbours where the inversion linearises, but for the terminator. Chosen (tides of 60 m/s with
    /// 25 km of wavelength have 10 rms where they are strongest; waves and calm heights less) between 2 and 5 on seeds 201 to 206 and 601 to 606: error/σ of green at night became 0.97 in place of 0.91 at 110–150 km, 1.02 in place of 1.00 below.
    /// </summary>
    public double UsualShearMsPerKm { get; init; } = 2.5;

    /// <summary>See <see cref="WindPrior"/>.</summary>
    public double BroadFactor { get; init; } = 8;

    /// <summary>Emission scale height above the top row, km: where the fit starts and what it is held to within <see cref="TopScaleHeightSigma"/>.</summary>
    public double TopScaleHeightKm { get; init; } = 45;

    /// <summary>1σ of the natural logarithm of the scale height.</summary>
    public double TopScaleHeightSigma { get; init; } = 0.3;

    /// <summary>Relative error of a row's fringe amplitude beside noise (visibility and flat from row to row).</summary>
    public double AmplitudeError { get; init; } = 0.002;

    /// <summary>Least 1σ of the wind's unseen change along the ray, m/s per 1000 km (tens of m/s across a few thousand km), beside what neighbouring exposures show.</summary>
    public double UnseenWindGradient { get; init; } = 6;

    /// <summary>Least 1σ of the wind's unseen curvature along the ray, m/s per (1000 km)².</summary>
    public double UnseenWindCurvature { get; init; } = 4;

    /// <summary>
    /// 1σ of the unseen change by the change that neighbouring exposures show: across the track the wind changes as it does along the track, and a ray at 45° to both takes as much of either.
    /// </summary>
    public double UnseenPerSeen { get; init; } = 1;

    /// <summary>1σ of the unseen curvature by the change that neighbouring exposures show, 1 per 1000 km: a wave of 12000 km, the tides' at 30 to 60° of latitude, bends by half its gradient.</summary>
    public double CurvaturePerSeen { get; init; } = 0.5;

    /// <summary>
    /// How much larger the error of unseen changes of the wind is high up once the Sun has set: ions then no longer hold the air of the thermosphere back, and its winds blow much stronger (common practice). Full
    /// from 250 km on, none at <see cref="NightAboveKm"/>. It widens σ and leaves the weights alone.
    /// </summary>
    public double NightChangeFactor { get; init; } = 2.3;

    /// <summary>See <see cref="NightChangeFactor"/>, km.</summary>
    public double NightAboveKm { get; init; } = 200;

    internal double NightFactor(double heightKm) => 1 + (NightChangeFactor - 1) * Math.Clamp((heightKm - NightAboveKm) / 50, 0, 1);

    /// <summary>1σ of the emission's unseen relative change along the ray, 1 per 1000 km.</summary>
    public double UnseenEmissionGradient { get; init; } = 0.15;

    /// <summary>Smallest such 1σ where neighbouring exposures tell how the emission changes along the track (<see cref="EmissionChange"/>).</summary>
    public double LeastEmissionGradient { get; init; } = 0.05;

    /// <summary>
    /// 1σ of the emission's relative change along the way to the Sun where it is highest, at <see cref="TerminatorZenithDeg"/>, 1 per 1000 km, beside <see cref="UnseenEmissionGradient"/>
    /// in every direction: light made by the Sun falls by a factor of some ten over the 1500 km of twilight. Chosen.
    /// </summary>
    public double TerminatorEmissionGradient { get; init; } = 2.5;

    /// <summary>1σ of the second derivative of ln ε along a ray in every direction, 1 per (1000 km)². Chosen: by day the emission hardly bends.</summary>
    public double UnseenEmissionBend { get; init; } = 0.02;

    /// <summary>
    /// The same towards the Sun near the terminator, at <see cref="TerminatorZenithDeg"/> and within half a width of <see cref="TerminatorOnsetDeg"/>: there the fall of <see cref="TerminatorEmissionGradient"/>
    /// begins, within some 800 km. Chosen; set on the demo's seeds 201–204 and 601–604 with good winds of twilight.
    /// </summary>
    public double TerminatorEmissionBend { get; init; } = 3;

    /// <summary>1σ of the third derivative there, 1 per (1000 km)³: a bend does not go on for ever. Chosen as <see cref="TerminatorEmissionBend"/> was.</summary>
    public double TerminatorEmissionThird { get; init; } = 2.5;

    /// <summary>See <see cref="TerminatorEmissionBend"/>, deg.</summary>
    public double TerminatorOnsetDeg { get; init; } = 8;

    /// <summary>Solar zenith angle about which sunlit emission fades, deg, and the half width within which.</summary>
    public double TerminatorZenithDeg { get; init; } = 92;

    /// <summary>See <see cref="TerminatorZenithDeg"/>.</summary>
    public double TerminatorWidthDeg { get; init; } = 12;

    /// <summary>Within <see cref="TerminatorWidthDeg"/> of <see cref="TerminatorZenithDeg"/>.</summary>
    internal bool IsTerminator(double zenithDeg) => Math.Abs(zenithDeg - TerminatorZenithDeg) < TerminatorWidthDeg;

    /// <summary>Correlation length of the unseen changes with height, km; above <see cref="ViscousAboveKm"/> it grows like that of the winds (<see cref="StiffenedKm"/>).</summary>
    public double UnseenCorrelationKm { get; init; } = 50;

    /// <summary>Height within which a wind's averaging kernel counts as its own, km, and at least the neighbouring rows.</summary>
    public double OwnHeightKm { get; init; } = 25;

    /// <summary>Smallest sum of a good wind's averaging kernel over its own height (<see cref="OwnHeightKm"/>): below it the prior or other heights supply more than a third of the value.</summary>
    public double GoodKernel { get; init; } = 0.6;

    /// <summary>The same of a doubtful wind; below it the wind is bad.</summary>
    public double DoubtfulKernel { get; init; } = 0.2;

    /// <summary>
    /// Largest 1σ of light whose change along the ray is not known, over the light of the height itself, of a good wind. Above it,
    /// near the terminator, the demo scenario's winds have errors larger than their σ.
    /// </summary>
    public double GoodFarLight { get; init; } = 0.3;

    /// <summary>The same of a doubtful wind; above it the wind is bad.</summary>
    public double DoubtfulFarLight { get; init; } = 1;

    /// <summary>
    /// Smallest share of its row's light that comes from a good wind's own height. Below it the shape of the emission between the rows, which nothing shows, counts: the demo's winds under the bright layers have mean errors of −2 to
    /// −4 m/s there (seeds 201 to 206, 601 to 606). Chosen.
    /// </summary>
    public double GoodOwnLight { get; init; } = 0.1;

    /// <summary>The same within <see cref="TerminatorWidthDeg"/> of <see cref="TerminatorZenithDeg"/>, where the bright layer's light also changes along the ray: mean errors of 3 m/s below it. Chosen.</summary>
    public double GoodOwnLightAtTerminator { get; init; } = 0.3;

    /// <summary>
    /// Largest σ of the wind at the next height above a good wind, m/s, where the light falls by more than a factor of <see cref="EdgeFall"/> up to there: then what the row sees lies between its own height and
    /// one of which nothing is known. Held to below <see cref="ViscousAboveKm"/>, where winds turn within 10–20 km. Chosen: twice <see cref="GoodSigmaMs"/>; above it the demo's winds at the top of the night's
    /// green layer have mean errors of −2 m/s, below it none that can be told.
    /// </summary>
    public double GoodEdgeMs { get; init; } = 20;

    /// <summary>See <see cref="GoodEdgeMs"/>; e, a scale height. Chosen.</summary>
    public double EdgeFall { get; init; } = Math.E;

    /// <summary>Largest σ of a good wind, m/s.</summary>
    public double GoodSigmaMs { get; init; } = 10;

    /// <summary>Largest σ of a doubtful wind, m/s.</summary>
    public double DoubtfulSigmaMs { get; init; } = 40;

    /// <summary>χ² per degree of freedom of a fringe fit above which its wind is doubtful.</summary>
    public double DoubtfulChiSquare { get; init; } = 2;

    /// <summary>Share of masked samples of a row above which its wind is doubtful.</summary>
    public double DoubtfulMaskedShare { get; init; } = 0.2;
}
