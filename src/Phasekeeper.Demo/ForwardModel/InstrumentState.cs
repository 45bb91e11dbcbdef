using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Noise;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>What has drifted, and how far, at a moment: temperatures, ageing and the injected events turned into the model's symbols.</summary>
public sealed class InstrumentState(DemoScenario scenario, ulong seed, Tern tern, ThermalTruth thermal, EventTimeline events)
{
    private readonly SmoothNoise[] wander = [new SmoothNoise(seed, 401, 60_000), new SmoothNoise(seed, 402, 60_000)];
    private readonly SmoothNoise[] shiftWander = [new SmoothNoise(seed, 411, 40_000), new SmoothNoise(seed, 412, 40_000)];

    /// <summary>Seconds since the scenario's start.</summary>
    public double Seconds(Instant time) => time - scenario.Start;

    /// <summary>φ_opt of an airglow line, rad; a lamp row has φ_opt/ρ.</summary>
    public double OpticalDriftRad(OpticsTruth optics, Instant time)
    {
        var state = thermal.At(time);
        var seconds = Seconds(time);
        var view = optics.Index / 2;
        // Ageing slows down as the optics outgas: e-folding 400 days.
        var days = seconds / 86400;
        var ageing = optics.AgeingRadPerDay * 400 * (1 - Math.Exp(-days / 400));
        return optics.RadPerK * (state.OpticsC - Tern.ThermalReferenceC) + ageing + 0.002 * wander[view].At(seconds) + optics.GradientRad * state.HeaterDeficit;
    }

    /// <summary>Image shift s of a view (0 fore, 1 aft), samples.</summary>
    public double ImageShiftSamples(int view, Instant time) =>
        Tern.ShiftPerK[view] * (thermal.At(time).BenchC - Tern.BenchReferenceC) + 0.0015 * shiftWander[view].At(Seconds(time))
        + events.Sum(ScenarioEventKind.ImageShiftStep, time, tern.Model.Views[view].Id);

    /// <summary>Dark rate at a moment, electrons/s a sample.</summary>
    public double DarkElectronsPerS(Instant time) =>
        Tern.DarkElectronsPerS * (1 + Tern.DarkGrowthPerDay * Seconds(time) / 86400) * DarkFactor(time);

    /// <summary>Dark rate relative to the reference temperature.</summary>
    public double DarkFactor(Instant time) => Math.Pow(2, (thermal.At(time).DetectorC - Tern.DarkReferenceC) / Tern.DarkDoublingK);

    /// <summary>Visibility of scenes or the lamp relative to the scenario's start: falls by 1 % in 500 days, and by events.</summary>
    public double VisibilityFactor(int view, Instant time) =>
        Math.Exp(-Seconds(time) / (50_000.0 * 86400)) * events.Remaining(ScenarioEventKind.VisibilityLoss, time, tern.Model.Views[view].Id);

    /// <summary>Lamp brightness relative to the scenario's start: falls by 1/e in 900 days, and by events.</summary>
    public double LampFactor(Instant time) => Math.Exp(-Seconds(time) / (900.0 * 86400))
        * events.Remaining(ScenarioEventKind.LampDimming, time) * (1 + events.Sum(ScenarioEventKind.LampTest, time));

    /// <summary>Turn of the body that the attitude data do not show, degrees of yaw towards the left of the track.</summary>
    public double YawErrorDeg(Instant time) => events.Sum(ScenarioEventKind.AttitudeOffset, time);

    /// <summary>Particle hits a second in one view and line, with the satellite over a place.</summary>
    public double SpikesPerS(Instant time, in GeodeticPoint below)
    {
        var storm = events.Sum(ScenarioEventKind.SpikeStorm, time);
        return SouthAtlantic.QuietPerS * (storm > 0 ? storm : 1) + SouthAtlantic.PeakPerS * SouthAtlantic.ShapeAt(below.LatitudeDeg, below.LongitudeDeg);
    }
}
