using System.Collections.Concurrent;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Noise;
using Phasekeeper.Demo.Scenario;

namespace Phasekeeper.Demo.Environment;

/// <summary>
/// Temperatures of the satellite: each follows sunlight and shadow through a first-order lag of its own. They are worked out on a
/// 10 s grid in blocks of six hours, each from the steady state ten hours (more than 20 of the longest lag) before it, so that any
/// block can be made without its predecessors and the demo can run for years in little memory. Values between grid points are linear.
/// </summary>
public sealed class ThermalTruth
{
    /// <summary>Lag of the optics behind the interferometer's temperature sensor, s.</summary>
    public const double OpticsLagS = 430;

    private const int StepS = 10;
    private const int BlockSteps = 6 * 360;
    private const int WarmUpSteps = 10 * 360;
    private const int MaximumBlocks = 64;

    // Lags, s, of: panel, deck, interferometer, bench, heater's influence on the interferometer.
    private static readonly double[] LagsS = [300, 900, 1300, 1500, 1500];

    private readonly Instant start;
    private readonly CircularOrbit orbit;
    private readonly EventTimeline events;
    private readonly SmoothNoise wander;
    private readonly ConcurrentDictionary<long, Lazy<ThermalState[]>> blocks = new();

    /// <summary>Temperatures along an orbit, with the heater events of a timeline.</summary>
    public ThermalTruth(Instant start, CircularOrbit orbit, EventTimeline events, ulong seed)
    {
        this.start = start;
        this.orbit = orbit;
        this.events = events;
        wander = new SmoothNoise(seed, 11, 60_000);
    }

    /// <summary>Temperatures at a moment.</summary>
    public ThermalState At(Instant time)
    {
        var steps = (time - start) / StepS;
        var index = (long)Math.Floor(steps);
        var block = index >= 0 ? index / BlockSteps : -((-index + BlockSteps - 1) / BlockSteps);
        if (blocks.Count > MaximumBlocks) blocks.Clear();
        var states = blocks.GetOrAdd(block, b => new Lazy<ThermalState[]>(() => Compute(b))).Value;
        var i = (int)(index - block * BlockSteps);
        return ThermalState.Between(states[i], states[i + 1], steps - index);
    }

    private ThermalState[] Compute(long block)
    {
        var states = new ThermalState[BlockSteps + 1];
        var first = block * BlockSteps;
        var lagged = new double[LagsS.Length];
        var decay = LagsS.Select(l => Math.Exp(-StepS / l)).ToArray();
        var opticsDecay = Math.Exp(-StepS / OpticsLagS);
        double optics = 0, interferometerBefore = 0;
        for (var step = -WarmUpSteps; step <= BlockSteps; step++)
        {
            var time = start.AddSeconds((first + step) * (double)StepS);
            var sun = EarthModel.SunDirection(time);
            var state = orbit.StateAt(time);
            var sunlit = CircularOrbit.SunlitShare(state.PositionTemeM, sun);
            var stuck = events.ActiveFraction(ScenarioEventKind.HeaterStuckOff, time, StepS);
            for (var n = 0; n < lagged.Length; n++)
            {
                var input = n == lagged.Length - 1 ? stuck : sunlit;
                lagged[n] = step == -WarmUpSteps ? (n == lagged.Length - 1 ? 0 : 0.66) : input + (lagged[n] - input) * decay[n];
            }
            var sinBeta = Math.Sin(orbit.BetaRad(time));
            var slow = 0.06 * wander.At(time - start);
            var interferometer = 20.0 + 0.5 * sinBeta + 3.1 * (lagged[2] - 0.66) - 4.5 * lagged[4] + slow;
            if (step == -WarmUpSteps)
            {
                optics = interferometer;
            }
            else
            {
                // Exact answer of a first-order lag to an input that is linear between grid points.
                var slope = (interferometer - interferometerBefore) / StepS;
                optics = interferometer - slope * OpticsLagS + (optics - interferometerBefore + slope * OpticsLagS) * opticsDecay;
            }
            interferometerBefore = interferometer;
            if (step >= 0)
                states[step] = new ThermalState(sunlit, interferometer, optics, 15.0 + 1.0 * sinBeta + 4.2 * (lagged[3] - 0.66) - 0.9 * lagged[4] + 0.8 * slow,
                    -20.0 + 0.9 * (lagged[1] - 0.66) + 0.15 * sinBeta, -8 + 46 * (lagged[0] - 0.66), 18 + 9 * (lagged[1] - 0.66) + 1.5 * sinBeta, lagged[4]);
        }
        return states;
    }
}

/// <summary>Temperatures at one moment, °C.</summary>
/// <param name="SunlitShare">Share of the Sun that is seen, 0…1.</param>
/// <param name="InterferometerC">Interferometer, at its sensor.</param>
/// <param name="OpticsC">The same through the lag of the optics: what drives the fringe phase.</param>
/// <param name="BenchC">Optical bench.</param>
/// <param name="DetectorC">Detector.</param>
/// <param name="PanelC">Radiator panel.</param>
/// <param name="DeckC">Instrument deck.</param>
/// <param name="HeaterDeficit">How far the interferometer has felt a heater that is off against command, 0…1.</param>
public readonly record struct ThermalState(double SunlitShare, double InterferometerC, double OpticsC, double BenchC, double DetectorC,
    double PanelC, double DeckC, double HeaterDeficit)
{
    /// <summary>Linear between two states, <paramref name="f"/> = 0…1.</summary>
    public static ThermalState Between(in ThermalState a, in ThermalState b, double f) => new(
        a.SunlitShare + f * (b.SunlitShare - a.SunlitShare), a.InterferometerC + f * (b.InterferometerC - a.InterferometerC),
        a.OpticsC + f * (b.OpticsC - a.OpticsC), a.BenchC + f * (b.BenchC - a.BenchC), a.DetectorC + f * (b.DetectorC - a.DetectorC),
        a.PanelC + f * (b.PanelC - a.PanelC), a.DeckC + f * (b.DeckC - a.DeckC), a.HeaterDeficit + f * (b.HeaterDeficit - a.HeaterDeficit));
}
