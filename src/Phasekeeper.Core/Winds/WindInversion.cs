using Phasekeeper.Core.Geometry;

namespace Phasekeeper.Core.Winds;

/// <summary>What the inversion of one profile found; arrays over the heights of <see cref="LimbPaths"/>, matrices row-major.</summary>
internal sealed record WindInversion
{
    /// <summary>Heights with a measurement.</summary>
    public required int[] Used { get; init; }
    /// <summary>Solar zenith angle at each height's tangent point, deg.</summary>
    public required double[] ZenithDeg { get; init; }
    /// <summary>Winds at the wind heights, m/s: first the tangent heights.</summary>
    public required double[] WindMs { get; init; }
    /// <summary>Gain from apparent winds of the used heights to winds, n × m.</summary>
    public required double[] Gain { get; init; }
    /// <summary>Averaging kernel, tangent heights × wind heights.</summary>
    public required double[] Kernel { get; init; }
    /// <summary>Covariance of smoothing by the prior, (m/s)².</summary>
    public required double[] Smoothing { get; init; }
    /// <summary>Covariance of the emission's error and of unseen changes along the ray, (m/s)².</summary>
    public required double[] Modelling { get; init; }
    /// <summary>ε at the heights.</summary>
    public required double[] Emission { get; init; }
    /// <summary>1σ of ε.</summary>
    public required double[] EmissionSigma { get; init; }
    /// <summary>1σ of the amplitude that comes from the emission's unseen change along the ray, over the amplitude of the row's own height.</summary>
    public required double[] FarLight { get; init; }
    /// <summary>Share of amplitude from the row's own layer.</summary>
    public required double[] OwnLayerShare { get; init; }
    /// <summary>H above the top row, km.</summary>
    public required double ScaleHeightKm { get; init; }
    /// <summary>Correlation length taken, km.</summary>
    public required double CorrelationKm { get; init; }
    /// <summary>χ² per row.</summary>
    public required double MisfitChiSquare { get; init; }

    private const int EmissionSteps = 8, WindPasses = 3;
    private const double SmallStep = 0.02; // of ln ε

    /// <summary>Inverts; null when the numbers of the input are such that no matrix can be solved.</summary>
    public static WindInversion? TryRun(LosWindInput input, LimbPaths paths, int[] used, ApparentWinds apparent, LosWindOptions options)
    {
        int n = paths.Count, m = used.Length, u = paths.WindHeightKm.Length;
        var kappa = input.Line.KappaAtMeanRadPerMs;
        double[] reference = new double[n], wind = new double[u], amplitude = new double[n], amplitudeSigma = new double[n], noise = new double[m];
        for (int i = 0, next = 0; i < n; i++)
        {
            // A height without a measurement starts from the one above it (or the highest there is).
            while (next < m - 1 && used[next] < i) next++;
            var row = paths.RowOfNode[used[next]];
            wind[i] = reference[i] = apparent.WindMs[row];
            amplitude[i] = apparent.Amplitude[row];
            amplitudeSigma[i] = amplitude[i] * Math.Sqrt(Square(input.Fringe.PhaseSigmaRad[row]) + Square(options.AmplitudeError));
        }
        Array.Fill(wind, wind[n - 1], n, u - n);
        for (var i = 0; i < m; i++) noise[i] = Square(input.Fringe.PhaseSigmaRad[paths.RowOfNode[used[i]]]);

        var priors = ProfilePriors.Of(paths, options);
        var gradient = OnHeights(input.WindGradientMsPerMm, paths);
        var (glow, second, third) = Glow(input.EmissionChange, paths, options);
        var model = new LimbModel(paths, priors, kappa, gradient, OnHeights(input.EmissionChange?.AlongRayPerMm, paths));
        var emission = new EmissionFit(paths, used, amplitude, amplitudeSigma, priors.Emission, options);
        for (var step = 0; step < EmissionSteps; step++)
        {
            model.PassStill(emission.LogEmission, emission.ScaleHeightKm);
            if (emission.Step(model, false) < SmallStep) break;
        }

        var zenithDeg = ZenithDegOf(input, paths);
        // At the terminator the emission changes by more than its covariance says: the noise of the shear stands in for it.
        var smooths = !zenithDeg.Any(options.IsTerminator);
        var choice = priors.Wind.Length / 2;
        double[] error = new double[m * m], jacobian = new double[m * u], data = new double[m], modelError = [], amplitudeError = [], farLight = [];
        UnseenChanges? unseen = null;
        OptimalEstimate estimate = default;
        for (var pass = 0; pass < WindPasses; pass++)
        {
            model.Pass(emission.LogEmission, emission.ScaleHeightKm, wind, reference);
            // Light that comes from elsewhere along the ray may not count as this height's own: it widens the amplitudes' errors.
            if (pass < WindPasses - 1)
            {
                unseen = new UnseenChanges(paths, model.Source, model.OffsetMm, wind, kappa);
                amplitudeError = unseen.Amplitudes(used, priors, glow);
                emission.SetModelError(amplitudeError);
                emission.Step(model, withCovariance: pass == WindPasses - 2);
            }
            Array.Clear(error);
            // The first pass only finds where to linearise: photon noise is weight enough.
            if (pass > 0)
            {
                modelError = SmallMatrix.Propagate(Rows(model.PhaseByEmission, used, n + 1), emission.Covariance, m, n + 1);
                unseen!.AddPhases(modelError, used, priors, glow, gradient, options);
                modelError.CopyTo(error, 0);
                farLight = FarLightOf(model, amplitudeError, used, n);
            }
            for (var i = 0; i < m; i++) error[i * m + i] += noise[i];
            for (var i = 0; i < m; i++)
            {
                var row = model.PhaseByWind.AsSpan(used[i] * u, u);
                row.CopyTo(jacobian.AsSpan(i * u, u));
                data[i] = Math.IEEERemainder(-model.Phase[used[i]], 2 * Math.PI) + SmallMatrix.Dot(row, wind);
            }
            OptimalEstimate? next = null;
            if (pass == 1) (choice, next) = MostProbable(priors.Wind, jacobian, error, data, u, choice);
            next ??= OptimalEstimate.TryPrepare(jacobian, priors.Wind[choice], error, m, u);
            if (next is null) return null;
            estimate = next.Value;
            wind = estimate.Estimate(data);
            if (smooths && pass < WindPasses - 1) wind = Smoothed(wind, paths, used, noise, jacobian, options);
        }

        // The weights stay, the error told is that of real winds and of light that fades as it may.
        unseen!.AddBends(modelError, used, priors, second, third);
        var bent = SmallMatrix.Multiply(Rows(model.PhaseByEmission, used, n + 1), emission.Gain, m, n + 1, m);
        var more = SmallMatrix.Propagate(bent, unseen.BentAmplitudes(used, priors, second, third), m, m);
        for (var i = 0; i < more.Length; i++) modelError[i] += more[i];
        if (NightFactor(zenithDeg, paths, options) is { } night) unseen!.AddLarger(modelError, used, priors, glow, gradient, night, options);
        var gain = estimate.Gain(n);
        var kernel = SmallMatrix.Multiply(gain, jacobian, n, m, u);
        var smoother = new double[n * u];
        for (var i = 0; i < n; i++)
            for (var k = 0; k < u; k++) smoother[i * u + k] = (i == k ? 1 : 0) - kernel[i * u + k];
        var emissionNow = emission.LogEmission.Select(Math.Exp).ToArray();
        var gainMs = new double[n * m];
        for (var i = 0; i < gainMs.Length; i++) gainMs[i] = -kappa * gain[i];
        return new()
        {
            Used = used,
            ZenithDeg = zenithDeg,
            WindMs = wind,
            Gain = gainMs,
            Kernel = kernel,
            Smoothing = SmallMatrix.Propagate(smoother, priors.Real[choice], n, u),
            Modelling = SmallMatrix.Propagate(gain, modelError, n, m),
            Emission = emissionNow,
            EmissionSigma = [.. emissionNow.Select((e, i) => e * Math.Sqrt(Math.Max(0, emission.Covariance[i * (n + 1) + i])))],
            FarLight = farLight,
            OwnLayerShare = model.OwnLayerShare(),
            ScaleHeightKm = emission.ScaleHeightKm,
            CorrelationKm = priors.CorrelationKm[choice],
            MisfitChiSquare = Misfit(jacobian, wind, data, error, m, u),
        };
    }

    private static double[] FarLightOf(LimbModel model, double[] amplitudeError, int[] used, int n)
    {
        var share = new double[n];
        for (var i = 0; i < used.Length; i++)
            share[used[i]] = Math.Sqrt(amplitudeError[i * used.Length + i]) / Math.Max(model.AmplitudeByEmission[used[i] * (n + 1) + used[i]], 1e-9);
        return share;
    }

    // 1σ of the derivatives of ln ε along the ray at each height: first, second and third.
    private static (double[] First, double[] Second, double[] Third) Glow(EmissionChange? change, LimbPaths paths, LosWindOptions options)
    {
        double[] Of(double[]? sigma, double unknown) => [.. paths.RowOfNode.Select(r => sigma is not null && double.IsFinite(sigma[r]) ? sigma[r] : unknown)];
        return ([.. Of(change?.SigmaPerMm, options.UnseenEmissionGradient).Select(s => Math.Max(s, options.LeastEmissionGradient))], Of(change?.BendPerMm2, options.UnseenEmissionBend), Of(change?.ThirdPerMm3, 0));
    }

    // The prior that explains the data best, with its step where one was prepared.
    private static (int Choice, OptimalEstimate? Estimate) MostProbable(double[][] priors, double[] jacobian, double[] error, double[] data, int n, int fallback)
    {
        if (priors.Length == 1) return (0, null);
        var best = double.NegativeInfinity;
        (int, OptimalEstimate?) choice = (fallback, null);
        for (var c = 0; c < priors.Length; c++)
            if (OptimalEstimate.TryPrepare(jacobian, priors[c], error, data.Length, n) is { } estimate && estimate.LogEvidence(data) is var evidence && evidence > best)
                (best, choice) = (evidence, (c, estimate));
        return choice;
    }

    // How much larger unseen changes of the wind are at each height than by day; null by day.
    private static double[]? NightFactor(double[] zenithDeg, LimbPaths paths, LosWindOptions options)
    {
        double[] factor = [.. zenithDeg.Select((z, i) => z > 90 ? options.NightFactor(paths.HeightKm[i]) : 1)];
        return factor.Any(f => f > 1) ? factor : null;
    }

    private static double[] ZenithDegOf(LosWindInput input, LimbPaths paths)
    {
        var sun = SunPosition.DirectionEcef(input.Fringe.Time);
        return [.. paths.RowOfNode.Select(r => Math.Acos(Math.Clamp(Vec3.Dot(Wgs84.LocalAxes(input.Looks[r].TangentLatitudeRad, input.Looks[r].TangentLongitudeRad).Up, sun), -1, 1)) * (180 / Math.PI))];
    }

    // Where the next step linearises: a badly seen height takes its wind from its neighbours as far as winds usually change up to there. Else the shear between a well and a badly seen height would be the noise of
    // the latter, and with it what an error of the emission does to the wind.
    private static double[] Smoothed(double[] wind, LimbPaths paths, int[] used, double[] noise, double[] jacobian, LosWindOptions options)
    {
        var (n, u) = (paths.Count, wind.Length);
        var variance = new double[n];
        Array.Fill(variance, Square(options.WindPriorMs));
        for (var i = 0; i < used.Length; i++) variance[used[i]] = Math.Min(variance[used[i]], noise[i] / Square(jacobian[i * u + used[i]]));
        var smooth = (double[])wind.Clone();
        for (var i = 0; i < n; i++)
        {
            double sum = 0, weights = 0;
            for (var j = 0; j < n; j++)
            {
                var weight = 1 / (variance[j] + Square(options.UsualShearMsPerKm * (options.StiffenedKm(paths.HeightKm[i]) - options.StiffenedKm(paths.HeightKm[j]))));
                sum += weight * wind[j];
                weights += weight;
            }
            smooth[i] = sum / weights;
        }
        return smooth;
    }

    private static double Misfit(double[] jacobian, double[] wind, double[] data, double[] error, int m, int n)
    {
        var factor = (double[])error.Clone();
        if (SmallMatrix.TryFactor(factor, m) is null) return double.NaN;
        var left = new double[m];
        for (var i = 0; i < m; i++) left[i] = data[i] - SmallMatrix.Dot(jacobian.AsSpan(i * n, n), wind);
        SmallMatrix.SolveLower(factor, m, left);
        return SmallMatrix.Dot(left, left) / m;
    }

    private static double[]? OnHeights(double[]? perRow, LimbPaths paths) =>
        perRow is null ? null : [.. paths.RowOfNode.Select(r => double.IsFinite(perRow[r]) ? perRow[r] : 0)];

    private static double[] Rows(double[] matrix, int[] used, int columns)
    {
        var rows = new double[used.Length * columns];
        for (var i = 0; i < used.Length; i++) matrix.AsSpan(used[i] * columns, columns).CopyTo(rows.AsSpan(i * columns, columns));
        return rows;
    }

    private static double Square(double x) => x * x;
}
