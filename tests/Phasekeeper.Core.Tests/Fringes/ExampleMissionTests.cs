using System.Globalization;
using Phasekeeper.Core.Fringes;
using Xunit.Abstractions;

namespace Phasekeeper.Core.Tests.Fringes;

/// <summary>Runs where the example mission lies beside (or above) the checkout; skipped elsewhere.</summary>
public sealed class ExampleMissionFactAttribute : FactAttribute
{
    public ExampleMissionFactAttribute()
    {
        if (ExampleMission.Folder is null) Skip = "No shared/example-mission beside the checkout.";
    }
}

/// <summary>
/// A mission of another maker's simulator (shared/example-mission/README.md): phases against the truth that was put in. The packets are
/// read here by their fixed layout, and motion is the truth's: this tests the retrieval, the rest of the road has its own tests.
/// </summary>
public sealed class ExampleMissionTests(ITestOutputHelper output)
{
    [ExampleMissionFact]
    public void Scene_phases_agree_with_the_truth_within_their_uncertainty()
    {
        var mission = ExampleMission.Load();
        var truth = mission.Truth();
        var all = new List<double>();
        var withResult = 0;
        foreach (var ((view, line), group) in truth.GroupBy(t => (t.Key.View, t.Key.Line)).ToDictionary(g => g.Key, g => g.ToList()))
        {
            var retrieval = new FringeRetrieval(mission.Instrument, mission.Coefficients, view, line);
            var pulls = new List<double>();
            var shiftPulls = new List<double>();
            var chi = new List<double>();
            foreach (var exposure in group.GroupBy(g => g.Key.Exposure))
            {
                var frame = mission.Frames.Single(f => f.Kind == ExposureKind.Scene && f.Exposure == exposure.Key && f.View == view && f.Line == line);
                var motion = exposure.OrderBy(e => e.Key.Row).Select(e => e.Value.MotionMs).ToArray();
                var result = retrieval.Retrieve(frame, mission.DetectorC(frame.Time), motion, mission.ShiftPrediction(frame));
                shiftPulls.Add((result.ImageShiftSamples - exposure.First().Value.ImageShift) / result.ImageShiftSigmaSamples);
                foreach (var (key, row) in exposure)
                {
                    if (result.Status[key.Row] != RowStatus.Ok) continue;
                    withResult++;
                    pulls.Add(FringeFixtures.Wrap(result.PhaseRad[key.Row] - row.PhaseRad) / result.PhaseSigmaRad[key.Row]);
                    chi.Add(result.ChiSquare[key.Row]);
                }
            }
            all.AddRange(pulls);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{view} {line,-6} {pulls.Count} rows: error/σ rms {Rms(pulls):F4}, mean {pulls.Average():F4}; χ²/dof {chi.Average():F4}; image shift error/σ rms {Rms(shiftPulls):F3}, mean {shiftPulls.Average():F3} of {shiftPulls.Count}"));
            // One view and line has 864 rows: its rms is known to 2.4 %, its mean to 0.034.
            Assert.InRange(Rms(pulls), 0.92, 1.08);
            Assert.InRange(pulls.Average(), -0.1, 0.1);
            Assert.InRange(Rms(shiftPulls), 0.6, 1.4);
        }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"all {all.Count} of {truth.Count} rows: error/σ rms {Rms(all):F4}, mean {all.Average():F4}"));
        Assert.True(withResult > 0.99 * truth.Count, $"{withResult} of {truth.Count} rows have a result.");
        Assert.InRange(Rms(all), 0.95, 1.05);
        Assert.InRange(all.Average(), -0.1, 0.1);
    }

    [ExampleMissionFact]
    public void Lamp_rows_of_an_exposure_agree_with_each_other_and_keep_their_frequency()
    {
        var mission = ExampleMission.Load();
        var count = 0;
        var frequency = new List<double>();
        double square = 0, dof = 0;
        foreach (var frame in mission.Frames.Where(f => f.Kind == ExposureKind.Lamp))
        {
            var result = new FringeRetrieval(mission.Instrument, mission.Coefficients, frame.View, frame.Line)
                .Retrieve(frame, mission.DetectorC(frame.Time), [], mission.ShiftPrediction(frame));
            Assert.All(result.Status, s => Assert.Equal(RowStatus.Ok, s));
            // All rows of a lamp exposure have one phase: the scatter about the first row's turn, in units of σ.
            var phases = result.PhaseRad.Select(p => FringeFixtures.Wrap(p - result.PhaseRad[0])).ToArray();
            var weights = result.PhaseSigmaRad.Select(s => 1 / (s * s)).ToArray();
            var mean = phases.Zip(weights, (p, w) => p * w).Sum() / weights.Sum();
            square += phases.Zip(weights, (p, w) => (p - mean) * (p - mean) * w).Sum();
            dof += phases.Length - 1;
            frequency.Add(result.FrequencyOffsetPpm / result.FrequencyOffsetSigmaPpm);
            count++;
        }
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{count} lamp frames: scatter of rows/σ {Math.Sqrt(square / dof):F4}; frequency offset/σ rms {Rms(frequency):F3}, mean {frequency.Average():F3}"));
        Assert.True(count > 0);
        Assert.InRange(Math.Sqrt(square / dof), 0.92, 1.08);
        Assert.InRange(Rms(frequency), 0.5, 1.6);
    }

    [ExampleMissionFact]
    public void Dark_exposures_give_the_dark_law_back()
    {
        var mission = ExampleMission.Load();
        var darks = mission.Frames.Where(f => f.Kind == ExposureKind.Dark).ToList();
        Assert.NotEmpty(darks);
        foreach (var frame in darks)
        {
            var result = new FringeRetrieval(mission.Instrument, mission.Coefficients, frame.View, frame.Line).Retrieve(frame, mission.DetectorC(frame.Time), [], 0);
            var expected = mission.Coefficients.Dark.RateAt(mission.DetectorC(frame.Time));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{frame.View} {frame.Line}: {result.DarkRateElectronsPerS:F4} ± {result.DarkRateSigmaElectronsPerS:F4} e⁻/s, law {expected:F4}; hot {result.HotSamples.Length}, χ² {result.ChiSquare.Average():F3}"));
            Assert.InRange(result.DarkRateElectronsPerS - expected, -5 * result.DarkRateSigmaElectronsPerS, 5 * result.DarkRateSigmaElectronsPerS);
        }
    }

    private static double Rms(List<double> values) => Math.Sqrt(values.Sum(v => v * v) / values.Count);
}
