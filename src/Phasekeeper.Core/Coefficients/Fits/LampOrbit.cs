using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Statistics;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Fits;

/// <summary>The lamp exposures of one orbit, view and line: drift unwrapped along the window, with what their errors have in common.</summary>
internal sealed class LampOrbit
{
    private const double Turn = 2 * Math.PI;

    private LampOrbit(OrbitAnalysis orbit, LampDriftPoint[] points, double[][] shared) => (Orbit, Points, Shared) = (orbit, points, shared);

    /// <summary>The orbit.</summary>
    public OrbitAnalysis Orbit { get; }

    /// <summary>Exposures, in order of time.</summary>
    public LampDriftPoint[] Points { get; }

    /// <summary>Covariance by the image shift's error, which neighbouring exposures share, rad².</summary>
    public double[][] Shared { get; }

    /// <summary>The exposures of a view and line, orbit by orbit; orbits without any are left out. Exposures whose T_lag hangs on an unknown start are left out.</summary>
    public static IReadOnlyList<LampOrbit> Of(FitWindow window, OpticalChannel channel)
    {
        List<LampOrbit> result = [];
        List<double> centres = [];
        var turn = Turn * Math.Abs(channel.Optics.LampRatio);
        foreach (var orbit in window.Orbits)
        {
            var model = new ThermalModel(channel.Optics.Thermal, orbit.Lagged(channel.Optics.Thermal.LagS));
            var shift = orbit.Shift(channel.View);
            FringeResult[] lamps = [.. orbit.Exposures(ExposureKind.Lamp, channel.View, channel.Line.Id)];
            LampDriftPoint[] points = [.. OpticalDrift.Measure(window.Instrument, channel.Line, channel.Optics, lamps, model, shift).Where(p => !p.LaggedC.NearGap)];
            if (points.Length == 0) continue;
            // Whole turns are not measured: each orbit is put beside the three before it, and each exposure beside its orbit.
            var centre = Centre(points, turn);
            if (centres.Count > 0)
            {
                var near = RobustStatistics.Median([.. centres.TakeLast(3)]);
                centre = near + Math.IEEERemainder(centre - near, turn);
            }
            centres.Add(centre);
            points = [.. points.Select(p => p with { MeasuredRad = p.ModelRad + centre + Math.IEEERemainder(p.OffsetRad - centre, turn) })];
            result.Add(new(orbit, points, SharedErrors(points, shift)));
        }
        return result;
    }

    /// <summary>The exposures whose T_lag is known for another lag, with it; those within 5 τ of an unknown start are left out.</summary>
    public (int[] Kept, LaggedValue[] Lagged) At(double lagS, double longestLagS)
    {
        var input = Orbit.Input;
        LaggedTemperature lagged = new(input.InterferometerC.Between(input.TemperatureFrom(lagS), input.WindowEnd.AddSeconds(lagS)), lagS);
        List<int> kept = [];
        List<LaggedValue> values = [];
        for (var i = 0; i < Points.Length; i++)
        {
            // e^(−t/τ) of the longest lag: the same exposures count in every round from then on.
            if (!lagged.TryGet(Points[i].Time, out var value) || Math.Pow(value.StartWeight, lagS / longestLagS) > LaggedTemperature.NearGapWeight) continue;
            kept.Add(i);
            values.Add(value);
        }
        return ([.. kept], [.. values]);
    }

    // Circular mean, then the median about it, which gross errors cannot move.
    private static double Centre(LampDriftPoint[] points, double turn)
    {
        double re = 0, im = 0;
        foreach (var p in points)
        {
            re += Math.Cos(p.OffsetRad / turn * Turn);
            im += Math.Sin(p.OffsetRad / turn * Turn);
        }
        var mean = Math.Atan2(im, re) / Turn * turn;
        return mean + RobustStatistics.Median([.. points.Select(p => Math.IEEERemainder(p.OffsetRad - mean, turn))]);
    }

    private static double[][] SharedErrors(LampDriftPoint[] points, SmoothImageShift shift)
    {
        double[][] shared = [.. points.Select(_ => new double[points.Length])];
        for (var i = 0; i < points.Length; i++)
            for (var j = 0; j <= i; j++)
                shared[i][j] = shared[j][i] = points[i].ShiftSensitivityRad * points[j].ShiftSensitivityRad * shift.Covariance(points[i].Time, points[j].Time);
        return shared;
    }
}
