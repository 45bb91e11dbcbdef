using System.Runtime.InteropServices;
using Phasekeeper.Core.Fringes;
using Phasekeeper.Core.Time;
using Phasekeeper.Demo.Atmosphere;
using Phasekeeper.Demo.Environment;
using Phasekeeper.Demo.Noise;

namespace Phasekeeper.Demo.ForwardModel;

/// <summary>Receives the counts of one row. The span is reused: copy what is kept.</summary>
public delegate void RowSink(OpticsTruth optics, int row, ReadOnlySpan<ushort> counts);

/// <summary>
/// Makes the rows of an exposure by the forward model of domain.md section 2. Every row has its own random numbers, addressed by
/// seed, exposure, view, line and row, so that neither windows nor threads change a bit. Safe for several threads.
/// </summary>
public sealed class ExposureSynthesizer(ulong seed, Tern tern, CircularOrbit orbit, InstrumentState state, WindField winds, Airglow airglow)
{
    /// <summary>Makes all rows: fore green, fore red, aft green, aft red, each from row 0 up.</summary>
    public void Expose(in Exposure exposure, RowSink sink)
    {
        var time = exposure.Time;
        var rows = new RowSynthesizer();
        var limb = LimbAt(time);
        var dark = state.DarkElectronsPerS(time) * exposure.IntegrationS;
        var hotFactor = state.DarkFactor(time) * exposure.IntegrationS;
        var days = state.Seconds(time) / 86400;
        var spikeMean = state.SpikesPerS(time, limb.SubSatellite) * exposure.IntegrationS;
        Span<double> fiducials = stackalloc double[Tern.Samples];
        Span<ushort> counts = stackalloc ushort[Tern.Samples];
        var spikes = new List<(int Row, int Sample, double Electrons)>();
        var rowSpikes = new List<(int Sample, double Electrons)>();
        var sights = new LimbSight[Tern.Rows];
        foreach (var optics in tern.Optics)
        {
            var view = optics.Index / 2;
            var shift = state.ImageShiftSamples(view, time);
            tern.FiducialTransmission(shift, fiducials);
            if (exposure.Kind == ExposureKind.Scene && optics.Index % 2 == 0) LookAll(limb, view, time, sights);
            Spikes(exposure, optics, spikeMean, spikes);
            var lampNoise = new HashRandom(seed, 0x1A3F, (ulong)exposure.Id, (ulong)optics.Index).NextNormal();
            for (var row = 0; row < Tern.Rows; row++)
            {
                var flat = optics.Flat[row];
                switch (exposure.Kind)
                {
                    case ExposureKind.Scene:
                        Scene(rows, optics, exposure, dark, shift, fiducials, row, sights[row]);
                        break;
                    case ExposureKind.Lamp:
                        var lamp = optics.LampElectrons * state.LampFactor(time) * (1 + 0.004 * lampNoise);
                        var amplitude = lamp * optics.LampVisibility * state.VisibilityFactor(view, time);
                        var phase = optics.LampPhaseRad + state.OpticalDriftRad(optics, time) / optics.LampRatio
                            - 2 * Math.PI * optics.Line.LampCycles * shift / Tern.Samples;
                        rows.Fringes(dark, flat, fiducials, optics.LampPattern[row], lamp, phase, 0, new LineOfSightLight(lamp, amplitude, 0, 0, 0, 0, 0), 0);
                        break;
                    case ExposureKind.Dark:
                        rows.Dark(dark);
                        break;
                    default:
                        rows.White(dark, flat, fiducials, Tern.FlatElectronsPerS * exposure.IntegrationS);
                        break;
                }
                foreach (var (hotRow, sample, onset, rate) in optics.HotSamples)
                    if (hotRow == row && days >= onset) rows.Mean[sample] += rate * hotFactor;
                rowSpikes.Clear();
                foreach (var hit in spikes)
                    if (hit.Row == row) rowSpikes.Add((hit.Sample, hit.Electrons));
                var random = new HashRandom(seed, 0x0805, (ulong)exposure.Id, (ulong)(optics.Index * Tern.Rows + row));
                rows.Expose(ref random, CollectionsMarshal.AsSpan(rowSpikes), counts);
                sink(optics, row, counts);
            }
        }
    }

    /// <summary>Satellite and atmosphere at a moment.</summary>
    public LimbView LimbAt(Instant time) => new(time, state.Seconds(time), orbit, winds, airglow);

    /// <summary>What the rows of a view see at a moment.</summary>
    public void LookAll(LimbView limb, int view, Instant time, LimbSight[] sights)
    {
        var yaw = state.YawErrorDeg(time);
        for (var row = 0; row < Tern.Rows; row++)
            sights[row] = limb.Follow(tern.Model.Views[view].AzimuthDeg, yaw, tern.Model.RowDepressionDeg[row], tern.Optics[2 * view].Kappa, tern.Optics[2 * view + 1].Kappa);
    }

    /// <summary>Signal A of a scene row per sample, electrons.</summary>
    public static double SceneElectrons(OpticsTruth optics, LimbSight sight, double integrationS) =>
        optics.Gain * integrationS * LightOf(optics, sight).Emission;

    /// <summary>The light of the optics' line.</summary>
    public static LineOfSightLight LightOf(OpticsTruth optics, LimbSight sight) => optics.Index % 2 == 0 ? sight.Green : sight.Red;

    private void Scene(RowSynthesizer rows, OpticsTruth optics, in Exposure exposure, double dark, double shift, ReadOnlySpan<double> fiducials, int row, LimbSight sight)
    {
        var light = LightOf(optics, sight);
        var toElectrons = optics.Gain * exposure.IntegrationS;
        var amplitude = toElectrons * optics.Visibility * state.VisibilityFactor(optics.Index / 2, exposure.Time);
        var phase = optics.ZeroWindRad[row] + state.OpticalDriftRad(optics, exposure.Time) - 2 * Math.PI * optics.Line.Cycles * shift / Tern.Samples
            - optics.Kappa * sight.MotionMs;
        rows.Fringes(dark, optics.Flat[row], fiducials, optics.ScenePattern[row], toElectrons * light.Emission, phase, -optics.KappaStep * sight.MotionMs,
            new LineOfSightLight(0, amplitude * light.C0Re, amplitude * light.C0Im, amplitude * light.C1Re, amplitude * light.C1Im,
                amplitude * light.C2Re, amplitude * light.C2Im), optics.KappaStep);
    }

    private void Spikes(in Exposure exposure, OpticsTruth optics, double mean, List<(int, int, double)> spikes)
    {
        spikes.Clear();
        var random = new HashRandom(seed, 0x5A1E, (ulong)exposure.Id, (ulong)optics.Index);
        for (var left = random.NextPoisson(mean); left > 0; left--)
            spikes.Add((random.NextIndex(Tern.Rows), random.NextIndex(Tern.Samples), random.NextExponential(2000)));
    }
}
