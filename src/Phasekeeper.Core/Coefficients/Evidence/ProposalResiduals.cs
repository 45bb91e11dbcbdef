using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Thermal;
using Phasekeeper.Core.Trackers;

namespace Phasekeeper.Core.Coefficients.Evidence;

/// <summary>
/// What measurements of an orbit leave when the laws of a set are taken out, and how that changes from one set to another. Nothing is left out as an outlier: both sets see the same measurements. Lamp residuals are phases over κ at the mean path
/// difference, as speeds of the airglow line.
/// </summary>
public static class ProposalResiduals
{
    /// <summary>Residuals of an orbit; empty without instrument or coefficients. In order of measure as in <see cref="ResidualMeasures"/>, view and line of the instrument.</summary>
    /// <param name="orbit">The orbit; its fringes were retrieved with its own coefficients.</param>
    public static IReadOnlyList<OrbitResidual> Of(OrbitAnalysis orbit)
    {
        ArgumentNullException.ThrowIfNull(orbit);
        if (orbit.Input.Instrument is not { } instrument || orbit.Input.Coefficients is not { } set) return [];
        List<OrbitResidual> result = [];
        foreach (var c in orbit.Channels)
        {
            void Add(string measure, string unit, double[] values) => AddTo(result, measure, c.View, c.Line.Id, unit, values);
            var lamp = Lamp(orbit, c);
            Add(ResidualMeasures.Lamp, "m/s", lamp);
            if (lamp.Length > 1)
            {
                var mean = lamp.Average();
                Add(ResidualMeasures.LampWithinOrbit, "m/s", [.. lamp.Select(v => v - mean)]);
            }
            Add(ResidualMeasures.Dark, "e-/s", [.. orbit.Exposures(ExposureKind.Dark, c.View, c.Line.Id).Where(f => f.IntegrationS > 0)
                .Select(f => Mean(f, f.SignalElectrons, f.SignalSigmaElectrons) / f.IntegrationS - set.Dark.RateAt(double.IsFinite(f.DetectorC) ? f.DetectorC : set.Dark.ReferenceC))]);
            Add(ResidualMeasures.SceneVisibility, "1", Relative(orbit, c, ExposureKind.Scene, f => f.Visibility, f => f.VisibilitySigma, c.Optics.Visibility));
            Add(ResidualMeasures.LampVisibility, "1", Relative(orbit, c, ExposureKind.Lamp, f => f.Visibility, f => f.VisibilitySigma, c.Optics.LampVisibility));
            Add(ResidualMeasures.LampBrightness, "1", Relative(orbit, c, ExposureKind.Lamp, f => f.SignalElectrons, f => f.SignalSigmaElectrons, c.Optics.LampElectrons));
        }
        foreach (var view in instrument.Views) AddTo(result, ResidualMeasures.ImageShift, view.Id, null, "samples", Shifts(orbit, view.Id));
        result.AddRange(SceneResiduals.Of(orbit));
        return [.. result.Select((r, i) => (r, i)).OrderBy(p => Order.IndexOf(p.r.Measure)).ThenBy(p => p.i).Select(p => p.r)];
    }

    /// <summary>Trackers' values of one orbit as residuals, one point each; for trackers that should be nothing but for the air.</summary>
    /// <param name="measure">One of <see cref="ResidualMeasures"/>.</param>
    /// <param name="tracker">The tracker's id.</param>
    /// <param name="values">Values of the orbit, of any trackers.</param>
    /// <param name="unit">The tracker's unit.</param>
    public static IEnumerable<OrbitResidual> OfTracker(string measure, string tracker, IEnumerable<TrackerValue> values, string unit) =>
        values.Where(v => v.Key.Tracker == tracker).Select(v => new OrbitResidual(measure, v.Key.View, v.Key.Line, unit, 1, v.Value, v.Value * v.Value) { Measured = v.N });

    /// <summary>The part of the lines' difference of winds (same view, moment and altitude) that follows the first line's T_lag over the orbit, m/s; one a view.</summary>
    /// <param name="orbit">The orbit.</param>
    /// <param name="winds">Its good winds along the line of sight.</param>
    public static IEnumerable<OrbitResidual> LinesWithTemperature(OrbitAnalysis orbit, IReadOnlyList<OrbitWind> winds)
    {
        ArgumentNullException.ThrowIfNull(orbit);
        if (orbit.Lines.Count < 2) yield break;
        foreach (var view in orbit.Views)
        {
            if (orbit.Channels.FirstOrDefault(c => c.View == view && c.Line.Id == orbit.Lines[0]) is not { } channel) continue;
            var lagged = orbit.Lagged(channel.Optics.Thermal.LagS);
            List<(double, double)> points = [];
            foreach (var place in winds.Where(w => w.View == view).GroupBy(w => (w.Time, Math.Round(w.AltitudeKm, 1))))
            {
                double[] first = [.. place.Where(w => w.Line == orbit.Lines[0]).Select(w => w.WindMs)], second = [.. place.Where(w => w.Line == orbit.Lines[1]).Select(w => w.WindMs)];
                if (first.Length == 1 && second.Length == 1 && lagged.TryGet(place.Key.Time, out var at)) points.Add((at.LaggedC, first[0] - second[0]));
            }
            if (SceneResiduals.WithTemperature(points) is { } follows) yield return new(ResidualMeasures.WindGreenRedTemperature, view, null, "m/s", 1, follows, follows * follows) { Measured = points.Count };
        }
    }

    /// <summary>Changes by measure, view and line, on the orbits of the fit and on the two kinds of orbits held out, and the same orbit by orbit. Residuals count on orbits where both sets have them, measurements on all.</summary>
    /// <param name="orbits">Each orbit with both sets, in any order.</param>
    public static (IReadOnlyList<ResidualChange> Changes, IReadOnlyList<ResidualOrbit> Orbits) Compare(IReadOnlyList<OrbitResiduals> orbits)
    {
        ArgumentNullException.ThrowIfNull(orbits);
        List<ResidualPair> pairs = [];
        foreach (var orbit in orbits.OrderBy(o => o.Start).ThenBy(o => o.Orbit))
        {
            var (was, now) = (orbit.Before.ToDictionary(r => r.Key), orbit.After.ToDictionary(r => r.Key));
            foreach (var key in orbit.Before.Concat(orbit.After).Select(r => r.Key).Distinct())
                pairs.Add(new(orbit.Orbit, orbit.Start, orbit.Use, was.TryGetValue(key, out var b) ? b : null, now.TryGetValue(key, out var a) ? a : null));
        }
        ResidualChange[] changes = [.. pairs.GroupBy(p => p.Key).OrderBy(g => Order.IndexOf(g.Key.Measure)).Select(g => new ResidualChange(g.Key.Measure, g.Key.View, g.Key.Line, g.First().Unit,
            Figures(g, OrbitUse.Fitted), Figures(g, OrbitUse.HeldOut)) { HeldOutLater = Figures(g, OrbitUse.HeldOutLater) })];
        return (changes, [.. pairs.Where(p => p is { Before: not null, After: not null })
            .Select(p => new ResidualOrbit(p.Orbit, p.Time, p.Use != OrbitUse.Fitted, p.Key.Measure, p.Key.View, p.Key.Line, p.Before!.Value.Rms, p.After!.Value.Rms) { Later = p.Use == OrbitUse.HeldOutLater })]);
    }

    private static ResidualFigures? Figures(IEnumerable<ResidualPair> pairs, OrbitUse use) => ResidualPair.Figures([.. pairs.Where(p => p.Use == use)]);

    private static readonly List<string> Order =
    [
        ResidualMeasures.ScenePhase, ResidualMeasures.GreenRed, ResidualMeasures.WindGreenRed, ResidualMeasures.WindGreenRedTemperature, ResidualMeasures.SceneTemperature, ResidualMeasures.WindLegs,
        ResidualMeasures.Lamp, ResidualMeasures.LampWithinOrbit, ResidualMeasures.ImageShift, ResidualMeasures.Dark,
        ResidualMeasures.SceneVisibility, ResidualMeasures.LampVisibility, ResidualMeasures.LampBrightness,
    ];

    private static void AddTo(List<OrbitResidual> result, string measure, string? view, string? line, string unit, double[] values)
    {
        double[] finite = [.. values.Where(double.IsFinite)];
        if (finite.Length > 0) result.Add(new(measure, view, line, unit, finite.Length, finite.Sum(), finite.Sum(v => v * v)));
    }

    private static double[] Lamp(OrbitAnalysis orbit, OpticalChannel c)
    {
        var model = new ThermalModel(c.Optics.Thermal, orbit.Lagged(c.Optics.Thermal.LagS));
        FringeResult[] lamps = [.. orbit.Exposures(ExposureKind.Lamp, c.View, c.Line.Id)];
        return [.. OpticalDrift.Measure(orbit.Input.Instrument!, c.Line, c.Optics, lamps, model, orbit.Shift(c.View)).Where(p => !p.LaggedC.NearGap)
            .Select(p => p.OffsetRad / c.Line.KappaAtMeanRadPerMs)];
    }

    private static double[] Shifts(OrbitAnalysis orbit, string view)
    {
        var law = orbit.Input.Coefficients!.ImageShiftOf(view);
        List<double> values = [];
        foreach (var m in orbit.OwnShifts(view))
            if (orbit.Input.BenchC.TryInterpolate(m.Time, Math.Max(600, orbit.OrbitS / 6), out var c)) values.Add(m.ShiftSamples - law.ShiftAt(c));
        return [.. values];
    }

    private static double[] Relative(OrbitAnalysis orbit, OpticalChannel c, ExposureKind kind, Func<FringeResult, double[]> value, Func<FringeResult, double[]> sigma, double reference) =>
        [.. orbit.Exposures(kind, c.View, c.Line.Id).Select(f => Mean(f, value(f), sigma(f)) / reference - 1)];

    // NaN without a usable row; left out.
    private static double Mean(FringeResult f, double[] value, double[] sigma) => RowAverages.OfOne(f, value, sigma)?.Mean ?? double.NaN;
}
