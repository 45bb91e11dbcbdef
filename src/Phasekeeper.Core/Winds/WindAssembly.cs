using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Limb;

namespace Phasekeeper.Core.Winds;

/// <summary>Puts a profile together: error budget, covariance and quality of every row.</summary>
internal static class WindAssembly
{
    /// <summary>A profile of which only apparent winds are known, if those.</summary>
    public static LosWindProfile WithoutInversion(LosWindInput input, ApparentWinds? apparent)
    {
        var rows = new LosWind[input.Looks.Count];
        for (var r = 0; r < rows.Length; r++)
        {
            var reasons = new List<WindQualityReason>(input.ExposureReasons);
            reasons.AddRange(WindReasons.OfRow(input, r, LosWindOptions.Default));
            if (apparent is not null && apparent.Usable[r])
                reasons.Add(new(WindQuality.Bad, "too-few-rows", "Fewer than three rows of this exposure have a phase and a tangent point: nothing to invert."));
            rows[r] = WithApparent(Place(r, input.Looks[r], reasons), input, apparent);
        }
        return Profile(input, rows);
    }

    /// <summary>A profile with layer winds.</summary>
    public static LosWindProfile Assemble(LosWindInput input, LimbPaths paths, ApparentWinds apparent, WindInversion inversion, LosWindOptions options)
    {
        int n = paths.Count, m = inversion.Used.Length;
        var common = new double[n];
        for (var k = 0; k < n; k++)
            for (var i = 0; i < m; i++) common[k] += inversion.Gain[k * m + i];
        var noisy = new double[n * m];
        for (var k = 0; k < n; k++)
            for (var i = 0; i < m; i++) noisy[k * m + i] = inversion.Gain[k * m + i] * apparent.PhotonMs[paths.RowOfNode[inversion.Used[i]]];
        var photonCovariance = new double[n * n];
        SmallMatrix.AddSymmetricProduct(photonCovariance, noisy, noisy, n, m);
        var attitude = TurnErrors(input, paths, inversion);
        var commonVariance = CommonVariance(input, apparent);
        var covariance = new double[n * n];
        for (var k = 0; k < n; k++)
            for (var l = 0; l < n; l++)
            {
                var at = k * n + l;
                covariance[at] = photonCovariance[at] + inversion.Smoothing[at] + inversion.Modelling[at] + common[k] * common[l] * commonVariance;
                foreach (var axis in attitude) covariance[at] += axis[k] * axis[l];
            }

        var rows = new LosWind[input.Looks.Count];
        for (var r = 0; r < rows.Length; r++)
        {
            var reasons = new List<WindQualityReason>(input.ExposureReasons);
            reasons.AddRange(WindReasons.OfRow(input, r, options));
            var k = Array.IndexOf(paths.RowOfNode, r);
            if (k < 0)
            {
                if (input.Looks[r].Outcome == LookOutcome.Tangent)
                    reasons.Add(new(WindQuality.Bad, "same-height", "The tangent point lies within 0.2 km of another row's: no layer of its own."));
                rows[r] = WithApparent(Place(r, input.Looks[r], reasons), input, apparent);
                continue;
            }
            var kernel = inversion.Kernel[k * paths.WindHeightKm.Length + k];
            var spacing = n < 2 ? double.NaN : (paths.HeightKm[Math.Min(k + 1, n - 1)] - paths.HeightKm[Math.Max(k - 1, 0)]) / (Math.Min(k + 1, n - 1) - Math.Max(k - 1, 0));
            var budget = new WindErrorBudget(
                Math.Sqrt(Math.Max(0, photonCovariance[k * n + k])),
                Math.Abs(common[k]) * apparent.ThermalMs,
                Math.Abs(common[k]) * apparent.ImageShiftMs,
                Math.Abs(common[k]) * input.ZeroWindSigmaMs,
                Math.Abs(common[k]) * input.EphemerisSigmaMs,
                new(attitude[0][k], attitude[1][k], attitude[2][k]),
                Math.Sqrt(Math.Max(0, inversion.Smoothing[k * n + k] + inversion.Modelling[k * n + k])));
            var above = k + 1 < n ? Math.Sqrt(covariance[(k + 1) * (n + 1)]) : double.NaN;
            reasons.AddRange(WindReasons.OfInversion(inversion, paths, k, OwnKernel(inversion.Kernel, paths, k, options), budget.TotalMs, above, options));
            rows[r] = WithApparent(Place(r, input.Looks[r], reasons), input, apparent) with
            {
                WindMs = inversion.WindMs[k],
                SigmaMs = budget.TotalMs,
                SigmaThroughKernelMs = Math.Sqrt(Math.Max(0, Square(budget.TotalMs) - inversion.Smoothing[k * n + k])),
                VerticalResolutionKm = kernel >= 0.02 ? spacing / kernel : double.NaN,
                KernelDiagonal = kernel,
                OwnLayerShare = inversion.OwnLayerShare[k],
                Budget = budget,
                Emission = inversion.Emission[k],
                EmissionSigma = inversion.EmissionSigma[k],
            };
        }
        return Profile(input, rows) with
        {
            MatrixRows = paths.RowOfNode,
            AveragingKernel = inversion.Kernel,
            KernelAltitudeKm = paths.WindHeightKm,
            CovarianceM2S2 = covariance,
            CorrelationKm = inversion.CorrelationKm,
            TopScaleHeightKm = inversion.ScaleHeightKm,
            MisfitChiSquare = inversion.MisfitChiSquare,
        };
    }

    // Averaging kernel summed over a wind's own height and its neighbours.
    private static double OwnKernel(double[] kernel, LimbPaths paths, int k, LosWindOptions options)
    {
        var sum = 0.0;
        for (var j = 0; j < paths.Count; j++)
            if (Math.Abs(j - k) <= 1 || Math.Abs(paths.HeightKm[j] - paths.HeightKm[k]) <= options.OwnHeightKm) sum += kernel[k * paths.WindHeightKm.Length + j];
        return sum;
    }

    // One vector of errors per axis, m/s at each height, for +1σ of that axis: signed as the retrieved wind moves.
    private static double[][] TurnErrors(LosWindInput input, LimbPaths paths, WindInversion inversion)
    {
        int n = paths.Count, m = inversion.Used.Length;
        double[] sigmaRad = [input.YawSigmaDeg * (Math.PI / 180), input.PitchSigmaDeg * (Math.PI / 180), input.RollSigmaDeg * (Math.PI / 180)];
        double[][] errors = [new double[n], new double[n], new double[n]];
        for (var k = 0; k < n; k++)
        {
            var turns = AttitudeSensitivity.PerRadian(input.Looks[paths.RowOfNode[k]], input.SatelliteVelocityEcefAxesMs);
            int below = Math.Max(k - 1, 0), above = Math.Min(k + 1, n - 1);
            var shearPerM = 1e-3 * (inversion.WindMs[above] - inversion.WindMs[below]) / (paths.HeightKm[above] - paths.HeightKm[below]);
            var at = Array.BinarySearch(inversion.Used, k);
            for (var axis = 0; axis < 3; axis++)
            {
                errors[axis][k] += sigmaRad[axis] * turns[axis].HeightM * shearPerM;
                if (at < 0) continue;
                for (var i = 0; i < n; i++) errors[axis][i] += sigmaRad[axis] * turns[axis].MotionMs * inversion.Gain[i * m + at];
            }
        }
        return errors;
    }

    private static LosWind Place(int row, LookSample look, List<WindQualityReason> reasons) => new()
    {
        Row = row,
        LatitudeRad = look.TangentLatitudeRad,
        LongitudeRad = look.TangentLongitudeRad,
        AltitudeKm = look.TangentAltitudeM * 1e-3,
        AzimuthRad = look.AzimuthRad,
        Quality = reasons.Count == 0 ? WindQuality.Good : reasons.Max(q => q.Quality),
        Reasons = reasons,
    };

    /// <summary>
    /// An inverted profile with the apparent wind of every row in place of the layer wind, as if it were the wind at the tangent point. Apparent winds stand each for itself: their errors are their own photon
    /// noise and the corrections that all rows share; the averaging kernel is one. Rows without a phase have no wind then. Qualities stay, so that the same places can be compared.
    /// </summary>
    public static LosWindProfile Apparent(LosWindInput input, ApparentWinds apparent, LosWindProfile inverted)
    {
        int[] used = [.. inverted.MatrixRows.Where(r => apparent.Usable[r])];
        var n = used.Length;
        WindErrorBudget[] budgets = [.. used.Select(r => ApparentBudget(r, input, apparent))];
        double[] covariance = new double[n * n], kernel = new double[n * n];
        for (var k = 0; k < n; k++)
        {
            kernel[k * n + k] = 1;
            for (var l = 0; l < n; l++) covariance[k * n + l] = CommonVariance(input, apparent) + AttitudeErrors.Covariance(budgets[k].Attitude, budgets[l].Attitude) + (k == l ? Square(budgets[k].PhotonMs) : 0);
        }
        return inverted with
        {
            Rows = [.. inverted.Rows.Select(w => Array.IndexOf(used, w.Row) is var k && k < 0
                ? w with { WindMs = double.NaN, SigmaMs = double.NaN, SigmaThroughKernelMs = double.NaN, VerticalResolutionKm = double.NaN, KernelDiagonal = 0, Budget = default }
                : w with { WindMs = w.ApparentMs, SigmaMs = budgets[k].TotalMs, SigmaThroughKernelMs = budgets[k].TotalMs, VerticalResolutionKm = double.NaN, KernelDiagonal = 1, Budget = budgets[k] })],
            MatrixRows = used,
            AveragingKernel = kernel,
            KernelAltitudeKm = [.. used.Select(r => inverted.Rows[r].AltitudeKm)],
            CovarianceM2S2 = covariance,
            CorrelationKm = double.NaN,
            TopScaleHeightKm = double.NaN,
            MisfitChiSquare = double.NaN,
        };
    }

    private static LosWind WithApparent(LosWind wind, LosWindInput input, ApparentWinds? apparent) => apparent is null || !apparent.Usable[wind.Row] ? wind
        : wind with { ApparentMs = apparent.WindMs[wind.Row], ApparentSigmaMs = ApparentBudget(wind.Row, input, apparent).TotalMs };

    private static WindErrorBudget ApparentBudget(int row, LosWindInput input, ApparentWinds apparent)
    {
        var turns = AttitudeSensitivity.PerRadian(input.Looks[row], input.SatelliteVelocityEcefAxesMs);
        const double rad = Math.PI / 180;
        return new(apparent.PhotonMs[row], apparent.ThermalMs, apparent.ImageShiftMs, input.ZeroWindSigmaMs, input.EphemerisSigmaMs,
            new(turns[0].MotionMs * input.YawSigmaDeg * rad, turns[1].MotionMs * input.PitchSigmaDeg * rad, turns[2].MotionMs * input.RollSigmaDeg * rad), 0);
    }

    private static double CommonVariance(LosWindInput input, ApparentWinds apparent) =>
        Square(apparent.ThermalMs) + Square(apparent.ImageShiftMs) + Square(input.ZeroWindSigmaMs) + Square(input.EphemerisSigmaMs);

    private static LosWindProfile Profile(LosWindInput input, LosWind[] rows) => new()
    {
        Time = input.Fringe.Time,
        Exposure = input.Fringe.Exposure,
        View = input.Fringe.View,
        Line = input.Fringe.Line,
        IntegrationS = input.Fringe.IntegrationS,
        Rows = rows,
    };

    private static double Square(double x) => x * x;
}
