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
    /// <param name="input">The orbit; its fringes were retrieved with its own coefficients.</param>
    public static IReadOnlyList<OrbitResidual> Of(OrbitInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        if (input.Instrument is not { } instrument || input.Coefficients is not { } set) return [];
        var orbit = new OrbitAnalysis(input);
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
        return [.. result.Select((r, i) => (r, i)).OrderBy(p => Order.IndexOf(p.r.Measure)).ThenBy(p => p.i).Select(p => p.r)];
    }

    /// <summary>Changes by measure, view and line, on the orbits of the fit and on those held out, and the same orbit by orbit. A measure counts on orbits where both sets have it.</summary>
    /// <param name="orbits">Each orbit with both sets, in any order.</param>
    public static (IReadOnlyList<ResidualChange> Changes, IReadOnlyList<ResidualOrbit> Orbits) Compare(IReadOnlyList<(OrbitInput Before, OrbitInput After, bool HeldOut)> orbits)
    {
        ArgumentNullException.ThrowIfNull(orbits);
        List<ResidualPair> pairs = [];
        foreach (var (before, after, heldOut) in orbits.OrderBy(o => o.Before.Start).ThenBy(o => o.Before.Orbit))
        {
            if (before.Orbit != after.Orbit) throw new ArgumentException($"Orbit {before.Orbit} was to be compared with orbit {after.Orbit}; expected the same orbit with both sets.", nameof(orbits));
            var now = Of(after).ToDictionary(r => r.Key);
            foreach (var was in Of(before))
                if (now.TryGetValue(was.Key, out var one)) pairs.Add(new(before.Orbit, before.Start, heldOut, was, one));
        }
        ResidualChange[] changes = [.. pairs.GroupBy(p => p.Before.Key).OrderBy(g => Order.IndexOf(g.Key.Measure))
            .Select(g => new ResidualChange(g.Key.Measure, g.Key.View, g.Key.Line, g.First().Before.Unit,
                ResidualPair.Figures([.. g.Where(p => !p.HeldOut)]), ResidualPair.Figures([.. g.Where(p => p.HeldOut)])))];
        return (changes, [.. pairs.Select(p => new ResidualOrbit(p.Orbit, p.Time, p.HeldOut, p.Before.Measure, p.Before.View, p.Before.Line, p.Before.Rms, p.After.Rms))]);
    }

    private static readonly List<string> Order =
    [
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
